#include "layshaft/run/outputs.hpp"

#include <array>

#include "layshaft/run/reading.hpp"

namespace layshaft {
namespace {

enum class From {
  speed,
  auxiliary,
  rise,
  torque,
  slip,
  mode,
  account,
  tyre_force,
  axle_load,
  position,
  stopwatch
};

struct Place {
  From from;
  int index;
};

struct Row {
  std::string_view name;
  std::string_view unit;
  std::string_view meaning;
  Place place;
};

// In the order of `CouplingMode`.
constexpr std::array<std::string_view, 5> kModes{
    to_string(CouplingMode::open), to_string(CouplingMode::stuck),
    to_string(CouplingMode::stuck_back), to_string(CouplingMode::slip_positive),
    to_string(CouplingMode::slip_negative)};
constexpr std::array<std::string_view, 2> kPositions{"in", "out"};

// A table: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kRows{
    Row{"crank_speed", "rad/s", "Engine speed", {From::speed, node::crank}},
    Row{"bell_speed", "rad/s", "Speed of the clutch bell", {From::speed, node::bell}},
    Row{"shaft_speed", "rad/s", "Speed of the two-speed shaft", {From::speed, node::shaft}},
    Row{"rear_speed", "rad/s", "Speed of the rear axle", {From::speed, node::rear}},
    Row{"front_speed", "rad/s", "Speed of the front axle", {From::speed, node::front}},
    Row{"car_speed", "m/s", "Speed of the car", {From::speed, node::car}},
    Row{"clutch_torque", "N*m", "Torque of the engine clutch", {From::torque, coupling::clutch}},
    Row{"first_torque", "N*m", "Torque of first gear at the two-speed shaft", {From::torque, coupling::first}},
    Row{"second_torque", "N*m", "Torque of the shoes on the drum", {From::torque, coupling::second}},
    Row{"rear_belt_torque", "N*m", "Torque of the rear belt at the axle", {From::torque, coupling::rear_belt}},
    Row{"front_belt_torque", "N*m", "Torque of the front belt at the axle", {From::torque, coupling::front_belt}},
    Row{"brake_torque", "N*m", "Torque of brake and bearing drag at the two-speed shaft", {From::torque, coupling::brake}},
    Row{"rolling_force", "N", "Rolling drag of all tyres", {From::torque, coupling::rolling}},
    Row{"clutch_slip", "rad/s", "Slip of the engine clutch, crank less bell", {From::slip, coupling::clutch}},
    Row{"first_slip", "rad/s", "Slip of first gear's one-way bearing, at the shaft", {From::slip, coupling::first}},
    Row{"second_slip", "rad/s", "Slip of the drum on the shoes", {From::slip, coupling::second}},
    Row{"rear_belt_slip", "rad/s", "Slip of the rear belt at the axle", {From::slip, coupling::rear_belt}},
    Row{"front_belt_slip", "rad/s", "Slip of the front belt at the axle", {From::slip, coupling::front_belt}},
    Row{"brake_slip", "rad/s", "Slip of brake and bearings, the shaft's own speed", {From::slip, coupling::brake}},
    Row{"rolling_slip", "m/s", "Slip of the rolling drag, the car's own speed", {From::slip, coupling::rolling}},
    Row{"clutch_mode", "1", "Engine clutch: what it does", {From::mode, coupling::clutch}},
    Row{"first_mode", "1", "First gear: what it does", {From::mode, coupling::first}},
    Row{"second_mode", "1", "Second gear: what it does", {From::mode, coupling::second}},
    Row{"rear_belt_mode", "1", "Rear belt: what it does", {From::mode, coupling::rear_belt}},
    Row{"front_belt_mode", "1", "Front belt: what it does", {From::mode, coupling::front_belt}},
    Row{"brake_mode", "1", "Brake and bearing drag: what it does", {From::mode, coupling::brake}},
    Row{"rolling_mode", "1", "Rolling drag: what it does", {From::mode, coupling::rolling}},
    Row{"shoe_1_out", "1", "Shoe 1: position", {From::position, plant_switch::shoe_1}},
    Row{"shoe_2_out", "1", "Shoe 2: position", {From::position, plant_switch::shoe_2}},
    Row{"rear_slip", "1", "Slip of the rear tyres", {From::auxiliary, auxiliary::rear_slip}},
    Row{"front_slip", "1", "Slip of the front tyres", {From::auxiliary, auxiliary::front_slip}},
    Row{"load_transfer", "N", "Load moved from the front to the rear axle", {From::auxiliary, auxiliary::load_transfer}},
    Row{"throttle_opening", "1", "Throttle opening reached", {From::auxiliary, auxiliary::throttle}},
    Row{"clutch_lining_temperature", "K", "Temperature of the clutch lining", {From::rise, auxiliary::clutch_surface}},
    Row{"clutch_bell_temperature", "K", "Temperature of the clutch bell", {From::rise, auxiliary::clutch_body}},
    Row{"shoe_lining_temperature", "K", "Temperature of the shoe linings", {From::rise, auxiliary::shoe_surface}},
    Row{"drum_temperature", "K", "Temperature of the drum", {From::rise, auxiliary::shoe_body}},
    Row{"rear_tyre_force", "N", "Driving force of the rear tyres", {From::tyre_force, 0}},
    Row{"front_tyre_force", "N", "Driving force of the front tyres", {From::tyre_force, 1}},
    Row{"rear_axle_load", "N", "Load on the rear axle", {From::axle_load, 0}},
    Row{"front_axle_load", "N", "Load on the front axle", {From::axle_load, 1}},
    Row{"car_distance", "m", "Distance covered by the car", {From::account, account::distance}},
    Row{"fuel", "kg", "Fuel burnt so far", {From::account, account::fuel}},
    Row{"engine_work", "J", "Work of the engine so far", {From::account, account::engine_work}},
    Row{"clutch_loss", "J", "Slip heat of the engine clutch so far", {From::account, account::clutch_loss}},
    Row{"shoe_loss", "J", "Slip heat of shoes and drum so far", {From::account, account::shoe_loss}},
    Row{"mesh_loss", "J", "Loss of the gear meshes so far", {From::account, account::mesh_loss}},
    Row{"belt_loss", "J", "Loss of the belts so far", {From::account, account::belt_loss}},
    Row{"brake_loss", "J", "Heat of brake and bearing drag so far", {From::account, account::brake_loss}},
    Row{"rolling_loss", "J", "Work against rolling drag so far", {From::account, account::rolling_loss}},
    Row{"rear_tyre_loss", "J", "Slip heat of the rear tyres so far", {From::account, account::rear_tyre_loss}},
    Row{"front_tyre_loss", "J", "Slip heat of the front tyres so far", {From::account, account::front_tyre_loss}},
    Row{"tyre_stored", "J", "Elastic work held in the tyres", {From::account, account::tyre_stored}},
    Row{"air_loss", "J", "Work against the air so far", {From::account, account::air_loss}},
    Row{"grade_work", "J", "Work against the grade so far", {From::account, account::grade_work}},
    Row{"stopwatch", "s", "Time since the start; stands still once the car has covered stopwatch_distance", {From::stopwatch, 0}},
    Row{"rear_strain", "1", "Strain of the rear tyres' carcasses", {From::auxiliary, auxiliary::rear_strain}},
    Row{"front_strain", "1", "Strain of the front tyres' carcasses", {From::auxiliary, auxiliary::front_strain}},
};
// clang-format on

constexpr std::span<const std::string_view> choices_of(From from) {
  if (from == From::mode) return kModes;
  if (from == From::position) return kPositions;
  return {};
}

constexpr std::array<Output, kRows.size()> make_outputs() {
  std::array<Output, kRows.size()> list{};
  for (std::size_t i = 0; i < kRows.size(); ++i) {
    const Row& row = kRows[i];
    list[i] = {row.name, row.unit, row.meaning, choices_of(row.place.from)};
  }
  return list;
}

constexpr std::array<Output, kRows.size()> kOutputs = make_outputs();

}  // namespace

std::span<const Output> outputs() { return kOutputs; }

std::optional<std::size_t> find_output(std::string_view name) {
  for (std::size_t i = 0; i < kOutputs.size(); ++i) {
    if (kOutputs[i].name == name) return i;
  }
  return std::nullopt;
}

double read_output(const Reading& reading, std::size_t number) {
  const Sample& sample = reading.sample;
  const auto [from, index] = kRows.at(number).place;
  const auto at = static_cast<std::size_t>(index);
  const auto auxiliary_state = [&] {
    return sample.state(state_of(static_cast<auxiliary::Auxiliary>(index)));
  };
  switch (from) {
    case From::speed: return sample.state(index);
    case From::auxiliary: return auxiliary_state();
    case From::rise: return reading.air_temperature + auxiliary_state();
    case From::torque: return sample.torques(index);
    case From::slip: return sample.slips(index);
    case From::mode: return static_cast<double>(sample.modes.couplings[at]);
    case From::account: return sample.accounts[at];
    case From::tyre_force: return sample.tyre_forces(index);
    case From::axle_load: return sample.axle_loads(index);
    case From::position: return static_cast<double>(sample.modes.switches[at]);
    case From::stopwatch: return reading.stopwatch;
  }
  return 0.0;
}

}  // namespace layshaft
