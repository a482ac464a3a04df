#pragma once

/// A chain of bodies on springs, with two friction clutches whose grip fades with heat: a network
/// of any size, more or less stiff, built from the library's parts. Invented.

#include <array>
#include <string_view>
#include <tuple>
#include <utility>

#include "layshaft/network/part_plant.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft::bench {

namespace chain {

/// "body_07" and its like.
template <std::size_t Number, char... Letters>
struct Numbered {
  static constexpr std::array<char, sizeof...(Letters) + 2> text{
      Letters..., '0' + static_cast<char>(Number / 10), '0' + static_cast<char>(Number % 10)};
  static constexpr std::string_view name{text.data(), text.size()};
};
template <std::size_t Number>
inline constexpr std::string_view kBody = Numbered<Number, 'b', 'o', 'd', 'y', '_'>::name;
template <std::size_t Number>
inline constexpr std::string_view kTwist = Numbered<Number, 't', 'w', 'i', 's', 't', '_'>::name;
template <std::size_t Number>
inline constexpr std::string_view kHeat = Numbered<Number, 'h', 'e', 'a', 't', '_'>::name;
template <std::size_t Number>
inline constexpr std::string_view kClutch =
    Numbered<Number, 'c', 'l', 'u', 't', 'c', 'h', '_'>::name;

/// Turned by the drive if it is the first; slowed by its bearings.
template <std::size_t Number>
struct Body : parts::Part {
  static constexpr std::array nodes{parts::Row{kBody<Number>, "rad/s", 10.0, "Body"}};
  static constexpr std::array reads{parts::state(kBody<Number>), parts::now()};
  static constexpr std::array gives{parts::force(kBody<Number>)};

  static std::array<double, 1> inertias(const Law<double>&) { return {1.0}; }
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 2>& in) {
    const auto& [speed, time] = in;
    X torque = -0.2 * speed;
    if constexpr (Number == 0) torque += 60.0 + 300.0 * sin(2.0 * kPi * time);
    return {torque};
  }
};

/// A spring that hardens, and its damper, from a body to the next.
template <std::size_t Number>
struct Spring : parts::Part {
  static constexpr std::array states{parts::Row{kTwist<Number>, "rad", 0.1, "Twist", "twist_rate"}};
  static constexpr std::array reads{parts::state(kBody<Number>), parts::state(kBody<Number + 1>),
                                    parts::state(kTwist<Number>)};
  static constexpr std::array gives{parts::force(kBody<Number>), parts::force(kBody<Number + 1>),
                                    parts::rate(kTwist<Number>)};
  template <class Real>
  struct Law {
    Real damping;  ///< [N*m*s]
  };

  template <class X>
  static std::array<X, 3> run(const auto& law, const auto&, const std::array<X, 3>& in) {
    const auto& [driving, driven, twist] = in;
    const X torque =
        4000.0 * twist * (1.0 + 25.0 * square(twist)) + law.damping * (driving - driven);
    return {-torque, torque, driving - driven};
  }
};

/// Friction from a body to the next, closing over a fifth of a second.
template <std::size_t Number>
struct Clutch : parts::Part {
  static constexpr std::array couplings{parts::CouplingRow{
      kClutch<Number>, 100.0, 10.0, "Clutch", {kBody<Number>, kBody<Number + 1>}}};
  static constexpr std::array states{parts::Row{kHeat<Number>, "K", 10.0, "Rise of the lining"}};
  static constexpr std::array reads{parts::state(kHeat<Number>), parts::now()};
  static constexpr std::array gives{parts::capacity(kClutch<Number>)};

  static std::array<parts::JoinedRow, 1> rows(const Law<double>&) {
    return {parts::JoinedRow{.slip = {1.0, -1.0}}};
  }
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 2>& in) {
    const auto& [heat, time] = in;
    return {200.0 * (1.0 - exp(-5.0 * time)) / (1.0 + 0.002 * heat)};
  }
};

/// What the clutch's friction turns into heat, less what the air takes.
template <std::size_t Number>
struct Heat : parts::Part {
  static constexpr std::array reads{parts::sliding(kClutch<Number>), parts::state(kBody<Number>),
                                    parts::state(kBody<Number + 1>), parts::state(kHeat<Number>)};
  static constexpr std::array gives{parts::rate(kHeat<Number>)};

  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 4>& in) {
    const auto& [torque, driving, driven, heat] = in;
    return {0.02 * torque * (driving - driven) - 0.5 * heat};
  }
};

template <std::size_t Bodies>
struct List {
  static_assert(Bodies >= 3 && Bodies <= 99);
  static constexpr std::size_t kFirst = Bodies / 3 - 1;       // driving body of the first clutch
  static constexpr std::size_t kSecond = 2 * Bodies / 3 - 1;  // of the second

  template <std::size_t... Number>
  static auto bodies(std::index_sequence<Number...>) -> std::tuple<Body<Number>...>;
  template <std::size_t Number>
  static auto spring() {
    if constexpr (Number == kFirst || Number == kSecond) {
      return std::tuple<>{};
    } else {
      return std::tuple<Spring<Number>>{};
    }
  }
  template <std::size_t... Number>
  static auto springs(std::index_sequence<Number...>)
      -> decltype(std::tuple_cat(spring<Number>()...));

  using parts = decltype(std::tuple_cat(
      bodies(std::make_index_sequence<Bodies>{}), springs(std::make_index_sequence<Bodies - 1>{}),
      std::tuple<Clutch<kFirst>, Heat<kFirst>, Clutch<kSecond>, Heat<kSecond>>{}));
};

}  // namespace chain

/// 2 * Bodies - 1 states; from rest, with the first third of the bodies turning.
template <std::size_t Bodies>
struct SpringChainProblem {
  using List = chain::List<Bodies>;
  using PlantType = parts::PartPlant<List>;
  static constexpr int kSums = 0;
  static constexpr bool kHasPedals = false;
  static constexpr double kEnd = 2.5;  // [s]

  PlantType plant;
  typename PlantType::State start = PlantType::State::Zero();
  ModesOf<PlantType> modes{};

  /// `damping` of each spring [N*m*s]; on bodies of 1 kg*m^2 the quickest decay is at 4 times it.
  explicit SpringChainProblem(double damping) : plant(laws(damping)) {
    for (std::size_t i = 0; i <= List::kFirst; ++i) start(static_cast<int>(i)) = 40.0;
  }

 private:
  [[nodiscard]] static parts::Laws<List, double> laws(double damping) {
    parts::Laws<List, double> laws{};
    PlantType::Parts::for_each_part([&]<class Part, parts::PartPlaces places>() {
      if constexpr (requires { laws.template of<Part>().damping; }) {
        laws.template of<Part>().damping = damping;
      }
    });
    return laws;
  }
};

}  // namespace layshaft::bench
