#include "layshaft/run/explain.hpp"

#include <cctype>
#include <string_view>

#include "layshaft/car/track_list.hpp"
#include "layshaft/number/text.hpp"

namespace layshaft {
namespace {

bool is_account(const Ending& ending) {
  return ending.status == Status::implausible && ending.part >= car_state::count;
}

// What a row means, in the middle of a sentence.
template <class Rows>
std::string named(const Rows& rows, std::size_t which) {
  std::string meaning(rows.at(which).meaning);
  meaning.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(meaning.front())));
  return " (" + meaning + ")";
}

template <class Names>
std::string name_part(const Ending& ending) {
  if (ending.part < 0) return "";
  const auto part = static_cast<std::size_t>(ending.part);
  if (is_account(ending)) return named(Names::kAccountRows, part - car_state::count);
  if (ending.status == Status::implausible || ending.status == Status::non_finite) {
    return named(Names::kStateRows, part);
  }
  constexpr auto kCouplings = static_cast<std::size_t>(Names::kCouplings);
  return part < kCouplings ? named(Names::kCouplingRows, part)
                           : named(Names::kSwitchRows, part - kCouplings);
}

template <class Names>
std::string explain_by(const Ending& ending) {
  const auto say = [&](std::string_view what, std::string_view advice) {
    std::string text(what);
    text.append(name_part<Names>(ending)).append(" after ").append(in_digits(ending.time));
    return text.append(" s; ").append(advice);
  };
  switch (ending.status) {
    case Status::finished: return "";
    case Status::step_budget:
      return say("step budget used up", "allow more steps or a looser tolerance");
    case Status::non_finite:
      return say("a state stopped being a number", "look for an extreme value in the set-up");
    case Status::no_modes:
      return say("no set of modes satisfies the limits", "look for an extreme value in the set-up");
    case Status::chatter:
      return say("modes change without end", "look for two parts that fight each other");
    case Status::step_vanished: return say("no step meets the tolerance", "loosen the tolerance");
    case Status::goes_over:
      return say("the car goes over", "lower the centre of mass or press the pedals less");
    case Status::leaves_ground:
      return say("lift takes the car off the road", "give body.downforce_area a larger value");
    case Status::implausible:
      return say(is_account(ending) ? "energy came from nowhere" : "a value left what is possible",
                 "look at the car's warnings and for an extreme value in the set-up");
  }
  return "unknown";
}

}  // namespace

std::string explain(const Ending& ending) { return explain_by<CarNames>(ending); }

std::string explain_on_track(const Ending& ending) { return explain_by<TrackNames>(ending); }

}  // namespace layshaft
