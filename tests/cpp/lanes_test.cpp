#include "layshaft/number/lanes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "layshaft/laws/curve.hpp"
#include "layshaft/laws/tyre.hpp"
#include "layshaft/number/dual.hpp"

namespace layshaft {
namespace {

// Widths are those of SSE2, AVX2 and AVX-512; here each is compiled for the plainest processor.
template <class Pack>
class LanesOf : public ::testing::Test {
 protected:
  static constexpr int kWidth = Pack::kWidth;

  // Numbers that differ from lane to lane, of both signs.
  static Pack numbers(int seed) {
    Pack result(0.0);
    for (int lane = 0; lane < kWidth; ++lane) {
      result.set(lane, 0.37 * ((seed * 29 + lane * 17) % 41 - 20));
    }
    return result;
  }

  template <class InLanes, class Plain>
  static void expect_same(const InLanes& in_lanes, const Plain& plain) {
    for (int seed = 0; seed < 200; ++seed) {
      const Pack a = numbers(seed);
      const Pack b = numbers(seed + 7);
      const Pack result = in_lanes(a, b);
      for (int lane = 0; lane < kWidth; ++lane) {
        const double expected = plain(a.at(lane), b.at(lane));
        if (std::isnan(expected)) {
          EXPECT_TRUE(std::isnan(result.at(lane)));
        } else {
          EXPECT_EQ(result.at(lane), expected) << "lane " << lane << " of seed " << seed;
        }
      }
    }
  }
};

using Widths = ::testing::Types<Lanes<2>, Lanes<4>, Lanes<8>>;
TYPED_TEST_SUITE(LanesOf, Widths);

#define EXPECT_SAME_IN_LANES(expression)                                                          \
  this->expect_same(                                                                              \
      []([[maybe_unused]] const TypeParam& a, [[maybe_unused]] const TypeParam& b) -> TypeParam { \
        return expression;                                                                        \
      },                                                                                          \
      []([[maybe_unused]] double a, [[maybe_unused]] double b) -> double { return expression; })

TYPED_TEST(LanesOf, ArithmeticIsThatOfEachLane) {
  EXPECT_SAME_IN_LANES(a + b);
  EXPECT_SAME_IN_LANES(a - b);
  EXPECT_SAME_IN_LANES(a * b);
  EXPECT_SAME_IN_LANES(a / b);
  EXPECT_SAME_IN_LANES(-a + 2.0 * b - 1.0);
}

TYPED_TEST(LanesOf, ChoicesAreThoseOfEachLane) {
  EXPECT_SAME_IN_LANES(max(a, b));
  EXPECT_SAME_IN_LANES(min(a, b));
  EXPECT_SAME_IN_LANES(abs(a));
  EXPECT_SAME_IN_LANES(select(a < b, a, b + 1.0));
  EXPECT_SAME_IN_LANES(select(a >= b, a, b * 3.0));
  EXPECT_SAME_IN_LANES(sqrt(a));
}

TYPED_TEST(LanesOf, ElementaryFunctionsAreTheSameBits) {
  EXPECT_SAME_IN_LANES(sin(a));
  EXPECT_SAME_IN_LANES(cos(a));
  EXPECT_SAME_IN_LANES(atan(a * b));
  EXPECT_SAME_IN_LANES(elementary::inverse_fifth_root(abs(a) + 0.01));
}

TYPED_TEST(LanesOf, NotANumberStaysInItsLane) {
  TypeParam a(1.0);
  a.set(1, std::numeric_limits<double>::quiet_NaN());
  const TypeParam result = atan(a) + max(a, TypeParam(0.0));
  EXPECT_FALSE(std::isnan(result.at(0)));
  EXPECT_TRUE(std::isnan(result.at(1)));
}

TYPED_TEST(LanesOf, EachLaneHasItsOwnTable) {
  std::array<CurveLaw<double>, TypeParam::kWidth> plain;
  CurveLaw<TypeParam> laws;
  for (int lane = 0; lane < TypeParam::kWidth; ++lane) {
    const std::array x{0.0, 1.0 + 0.1 * lane, 3.0};
    const std::array y{1.0 * lane, 2.0, 1.0};
    plain[static_cast<std::size_t>(lane)] = make_curve_law(make_curve(x, y));
    const CurveLaw<double>& law = plain[static_cast<std::size_t>(lane)];
    const auto pack = [lane](const auto& from, auto& to) {
      for (std::size_t k = 0; k < from.size(); ++k) to[k].set(lane, from[k]);
    };
    pack(law.starts, laws.starts);
    pack(law.constant, laws.constant);
    pack(law.linear, laws.linear);
    pack(law.quadratic, laws.quadratic);
    pack(law.cubic, laws.cubic);
  }
  for (int seed = 0; seed < 100; ++seed) {
    const TypeParam x = this->numbers(seed);
    const TypeParam value = curve_value(laws, x);
    for (int lane = 0; lane < TypeParam::kWidth; ++lane) {
      EXPECT_EQ(value.at(lane), curve_value(plain[static_cast<std::size_t>(lane)], x.at(lane)));
    }
  }
}

TYPED_TEST(LanesOf, DerivativesAreTheSameBits) {
  const TyreLaw<double> tyre{.radius = 0.038,
                             .growth = 1e-8,
                             .friction_unloaded = 1.8,
                             .friction_fall = 0.005,
                             .stiffness_factor = 20.0,
                             .shape = 1.5,
                             .curvature = -0.5,
                             .relaxation = 0.05,
                             .damping_time = 0.003,
                             .rolling_resistance = 0.03};
  const TyreLaw<TypeParam> packed{tyre.radius,
                                  tyre.growth,
                                  tyre.friction_unloaded,
                                  tyre.friction_fall,
                                  tyre.stiffness_factor,
                                  tyre.shape,
                                  tyre.curvature,
                                  tyre.relaxation,
                                  tyre.damping_time,
                                  tyre.rolling_resistance};
  for (int seed = 0; seed < 100; ++seed) {
    const TypeParam slip = this->numbers(seed) * 0.05;
    const auto force = tyre_force(packed, Dual<TypeParam, 2>::variable(slip, 0),
                                  Dual<TypeParam, 2>::variable(TypeParam(12.0), 1));
    for (int lane = 0; lane < TypeParam::kWidth; ++lane) {
      const auto plain = tyre_force(tyre, Dual<double, 2>::variable(slip.at(lane), 0),
                                    Dual<double, 2>::variable(12.0, 1));
      EXPECT_EQ(force.value.at(lane), plain.value);
      EXPECT_EQ(force.slopes[0].at(lane), plain.slopes[0]);
      EXPECT_EQ(force.slopes[1].at(lane), plain.slopes[1]);
    }
  }
}

}  // namespace
}  // namespace layshaft
