// Learns the demo car's numbers from three shifts that were heard, and finds the gap to set, with
// no more than the core. Takes what is to be learned, "path=doubt" each, in SI units.
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <layshaft/fit/learn.hpp>
#include <layshaft/fit/setting_search.hpp>
#include <string>
#include <vector>

int main(int count, char** words) {
  const layshaft::Car car = layshaft::demo_car();
  std::vector<layshaft::Unknown> unknowns;
  for (int i = 1; i < count; ++i) {
    const std::string word = words[i];
    const std::size_t equals = word.find('=');
    const double doubt = std::atof(word.c_str() + equals + 1);
    unknowns.push_back(layshaft::unknown_of(car, word.substr(0, equals), doubt));
  }
  constexpr double kKmh = 1.0 / 3.6;
  const std::array<std::array<double, 2>, 3> heard{
      {{4.2e-3, 67.0}, {4.5e-3, 63.0}, {4.8e-3, 57.0}}};
  std::vector<layshaft::Observation> seen;
  for (const auto& [gap, speed] : heard) {
    seen.push_back({"shift_speed", speed * kKmh, 2.0 * kKmh, {{"two_speed.gap", gap}}, {}});
  }
  const layshaft::Learned found = layshaft::learn(car, unknowns, seen, 1);
  for (const double speed : found.shown_before) std::printf("believed %.17g\n", speed);
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    const double variance = found.covariance[i * unknowns.size() + i];
    std::printf("learned %.17g %.17g\n", found.values[i], std::sqrt(variance));
  }
  const layshaft::Car learned = layshaft::Changes(std::array{&found.point}).of(car);
  const layshaft::Goal goal{"shift_speed", 68.0 * kKmh, kKmh, {}, {}};
  const auto best = layshaft::best_setting(learned, "two_speed.gap", 3.6e-3, 5.2e-3, goal, 1);
  if (best) std::printf("best %.17g %.17g\n", best->setting, best->shown);
}
