// Learning from what was heard, and the best gap, for the page.

#include <cstddef>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "answer.hpp"
#include "layshaft/car/setup_text.hpp"
#include "layshaft/car/units.hpp"
#include "layshaft/fit/learn.hpp"
#include "layshaft/fit/setting_search.hpp"

namespace {

using layshaft::page::answer;
using layshaft::page::Json;

constexpr std::string_view kGap = "two_speed.gap";

struct Question {
  std::vector<layshaft::Unknown> unknowns;
  std::vector<layshaft::Observation> seen;
};

// The words of the next line; the text is left behind it.
std::vector<std::string> next_line(std::string_view& text) {
  std::vector<std::string> words;
  const std::size_t length = std::min(text.find('\n'), text.size());
  std::string_view line = text.substr(0, length);
  text.remove_prefix(std::min(length + 1, text.size()));
  while (!line.empty()) {
    const std::size_t end = std::min(line.find(' '), line.size());
    words.emplace_back(line.substr(0, end));
    line.remove_prefix(std::min(end + 1, line.size()));
  }
  return words;
}

// Lines of two kinds: `unknown PATH DOUBT` and `seen MEASURE VALUE ERROR GAP`.
Question read_question(const layshaft::Car& car, std::string_view text) {
  Question question;
  while (!text.empty()) {
    const std::vector<std::string> words = next_line(text);
    const auto number = [&](std::size_t place) { return layshaft::to_si(words[place], "1"); };
    if (words.size() == 3 && words[0] == "unknown") {
      question.unknowns.push_back(layshaft::unknown_of(car, words[1], number(2)));
    } else if (words.size() == 5 && words[0] == "seen") {
      question.seen.push_back(
          {words[1], number(2), number(3), {{std::string(kGap), number(4)}}, {}});
    } else {
      throw std::invalid_argument(
          "a line must be `unknown PATH DOUBT` or `seen MEASURE VALUE "
          "ERROR GAP`");
    }
  }
  return question;
}

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
    const Question question = read_question(car, text);
    const layshaft::Learned learned = layshaft::learn(car, question.unknowns, question.seen, 1);
    const auto itself = [](double value) { return value; };
    json.key("unknowns").open('[');
    for (std::size_t i = 0; i < question.unknowns.size(); ++i) {
      put_unknown(question.unknowns[i], learned, i, json);
    }
    json.close(']').list("covariance", learned.covariance, itself);
    json.list("shown", learned.shown, itself);
    json.pair("settled", learned.end == layshaft::FitEnd::settled);
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
