#include "layshaft/run/explain.hpp"

#include <array>
#include <sstream>
#include <string_view>

#include "layshaft/car/track_car.hpp"

namespace layshaft {
namespace {

// Of the car on a track, which has all that the car on a straight road has.
constexpr std::array<std::string_view, track_state::count> kStates{
    "the engine's speed",
    "the speed of the clutch bell",
    "the speed of the two-speed shaft",
    "the speed of the rear axle",
    "the speed of the front axle",
    "the car's speed",
    "the strain of the rear tyres",
    "the strain of the front tyres",
    "the slip of the rear tyres",
    "the slip of the front tyres",
    "the load transfer",
    "the throttle",
    "the temperature of the clutch lining",
    "the temperature of the clutch bell",
    "the temperature of the shoe linings",
    "the temperature of the drum",
    "the distance",
    "the brake pedal"};
constexpr std::array<std::string_view, track_account::count> kAccounts{
    "the distance",
    "the fuel",
    "the work of the engine",
    "the heat of the engine clutch",
    "the heat of shoes and drum",
    "the loss of the gear meshes",
    "the loss of the belts",
    "the heat of brake and bearings",
    "the rolling drag",
    "the slip heat of the rear tyres",
    "the slip heat of the front tyres",
    "the work stored in the tyres",
    "the work against the air",
    "the work against the grade",
    "the tyres' drag in corners"};
// The couplings, then the switches.
constexpr std::array<std::string_view, TrackCar::kCouplings + TrackCar::kSwitches> kParts{
    "the engine clutch",
    "first gear",
    "second gear",
    "the rear belt",
    "the front belt",
    "the brake",
    "the rolling drag",
    "the engine clutch",
    "shoe 1",
    "shoe 2",
    "the end of a piece of track",
    "the driver's foot"};

bool is_account(const Ending& ending) {
  return ending.status == Status::implausible && ending.part >= kDrivetrainStates;
}

std::string name_part(const Ending& ending) {
  if (ending.part < 0) return "";
  const auto part = static_cast<std::size_t>(ending.part);
  if (is_account(ending)) return " in " + std::string(kAccounts.at(part - kDrivetrainStates));
  if (ending.status == Status::implausible || ending.status == Status::non_finite) {
    return " in " + std::string(kStates.at(part));
  }
  return " at " + std::string(kParts.at(part));
}

}  // namespace

std::string explain(const Ending& ending) {
  std::ostringstream text;
  const auto say = [&](std::string_view what, std::string_view advice) {
    text << what << name_part(ending) << " after " << ending.time << " s; " << advice;
    return text.str();
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

}  // namespace layshaft
