#include "layshaft/run/outputs.hpp"

#include "layshaft/run/lap.hpp"
#include "layshaft/run/reading.hpp"

namespace layshaft {
namespace {

std::vector<Output> launch_list() {
  std::vector<Output> list = outputs_of<CarNames>();
  list.push_back({"stopwatch",
                  "s",
                  "Time since the start; stands still once the car has covered stopwatch_distance",
                  {},
                  From::other,
                  0});
  return list;
}

struct LapRow {
  const char* name;
  const char* unit;
  const char* meaning;
  double LapSample::* member;
};
constexpr std::array kLapRows{
    LapRow{"time", "s", "Time from the line", &LapSample::time},
    LapRow{"lateral_acceleration", "m/s^2", "Acceleration to the left",
           &LapSample::lateral_acceleration},
    LapRow{"grip_taken", "1", "Share of the grip used sideways", &LapSample::grip_taken},
    LapRow{"aimed_speed", "m/s", "Speed aimed at", &LapSample::aimed_speed}};

std::vector<Output> lap_list() {
  std::vector<Output> list = outputs_of<TrackNames>();
  for (std::size_t i = 0; i < kLapRows.size(); ++i) {
    const LapRow& row = kLapRows[i];
    list.push_back({row.name, row.unit, row.meaning, {}, From::other, static_cast<int>(i)});
  }
  return list;
}

const std::vector<Output>& launch_outputs() {
  static const std::vector<Output> list = launch_list();
  return list;
}

}  // namespace

std::span<const Output> outputs() { return launch_outputs(); }

std::span<const Output> lap_outputs() {
  static const std::vector<Output> list = lap_list();
  return list;
}

std::optional<std::size_t> find_output(std::string_view name) {
  const auto& list = launch_outputs();
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (list[i].name == name) return i;
  }
  return std::nullopt;
}

double read_output(const Reading& reading, std::size_t number) {
  const Output& output = launch_outputs().at(number);
  if (output.from == From::other) return reading.stopwatch;
  return read_output(reading.sample, reading.air_temperature, output);
}

double read_lap_output(const LapSample& sample, double air_temperature, std::size_t number) {
  const Output& output = lap_outputs()[number];
  if (output.from == From::other) {
    return sample.*kLapRows.at(static_cast<std::size_t>(output.index)).member;
  }
  return read_output<TrackNames>(sample, air_temperature, output);
}

}  // namespace layshaft
