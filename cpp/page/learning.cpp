// Learning from what was heard, and the best gap, for the page.

#include <cstddef>
#include <string>
#include <string_view>

#include "answer.hpp"
#include "layshaft/car/setup_text.hpp"
#include "layshaft/fit/learn.hpp"
#include "layshaft/fit/question.hpp"
#include "layshaft/fit/setting_search.hpp"

namespace {

using layshaft::page::answer;
using layshaft::page::Json;

constexpr std::string_view kGap = "two_speed.gap";

void put_unknown(const layshaft::Unknown& unknown, const layshaft::Learned& learned, std::size_t i,
                 Json& json) {
  json.open('{').pair("path", unknown.path).pair("value", learned.values[i]);
  json.key("ends").open('[').value(learned.low[i]).value(learned.high[i]).close(']');
  json.pair("low", unknown.low).pair("high", unknown.high).key("followers").open('{');
  for (const layshaft::Follower& each : unknown.followers) json.pair(each.path, each.ratio);
  json.close('}').close('}');
}

}  // namespace

// Fits the car to what was seen: values, ends of their 95 % intervals, and their covariance row
// after row.
LAYSHAFT_PAGE(page_learn)(const char* setup, const char* text) {
  return answer([&](Json& json) {
    const layshaft::Car car = layshaft::car_from_text(setup);
    const layshaft::Question question = layshaft::read_question(car, text);
    const layshaft::Learned learned = layshaft::learn(car, question.unknowns, question.seen, 1);
    const auto itself = [](double value) { return value; };
    json.key("unknowns").open('[');
    for (std::size_t i = 0; i < question.unknowns.size(); ++i) {
      put_unknown(question.unknowns[i], learned, i, json);
    }
    json.close(']').list("covariance", learned.covariance, itself);
    json.list("shown", learned.shown, itself);
    json.pair("end", layshaft::to_string(learned.end));
  });
}

// The best gap between two for a shift at a speed [m/s], or with 0 for the least time to 60 m;
// losses up to `within` count as none.
LAYSHAFT_PAGE(page_best_gap)(const char* setup, double target, double within, double low,
                             double high) {
  return answer([&](Json& json) {
    layshaft::Goal goal{"time", {}, within, {}, {}};
    if (target > 0.0) goal = {"shift_speed", target, within, {}, {}};
    const auto best = layshaft::best_setting(layshaft::car_from_text(setup), std::string(kGap), low,
                                             high, goal, 1);
    json.pair("found", best.has_value());
    if (best) json.pair("gap", best->setting).pair("cost", best->cost).pair("step", best->step);
  });
}
