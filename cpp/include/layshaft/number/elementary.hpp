#pragma once

/// Sine, cosine, arc tangent and a fifth root, written once for double and for lanes.
///
/// The same operations in the same order for every number type, without a branch or a table: so a
/// launch gives the same bits alone, in lanes of any width and on any processor, which the
/// functions of the C library do not promise.
///
/// Accuracy: within 2 units in the last place of the true value, sin and cos for |x| <= 100; within
/// 3 for |x| <= 1e5; not meant beyond 1e6. NaN stays NaN, sin and cos of an infinity are NaN; the
/// sign of sin(-0) is lost. Source: reduction in three parts of pi after W. J. Cody and W. Waite,
/// Software Manual for the Elementary Functions (from memory); coefficients by
/// `tests/fit_elementary.py`.

#include <array>
#include <cstddef>

#include "layshaft/number/arithmetic.hpp"

namespace layshaft::elementary {

// sum c[k] z^k by halves (Estrin), so that few operations wait for each other. `powers` are z, z^2,
// z^4, ...
template <std::size_t First, std::size_t Count, class Real, std::size_t Size, std::size_t Powers>
[[nodiscard]] inline Real sum_of_powers(const std::array<double, Size>& c,
                                        const std::array<Real, Powers>& powers) {
  if constexpr (Count == 1) {
    return Real(c[First]);
  } else {
    constexpr std::size_t kLow = std::bit_ceil(Count) / 2;
    constexpr std::size_t kPower = static_cast<std::size_t>(std::bit_width(kLow)) - 1;
    const Real low = sum_of_powers<First, kLow>(c, powers);
    const Real high = sum_of_powers<First + kLow, Count - kLow>(c, powers);
    return low + powers[kPower] * high;
  }
}

template <class Real, std::size_t Size>
[[nodiscard]] inline Real polynomial(const std::array<double, Size>& coefficients, const Real& z) {
  std::array<Real, static_cast<std::size_t>(std::bit_width(Size - 1))> powers;
  powers[0] = z;
  for (std::size_t k = 1; k < powers.size(); ++k) powers[k] = powers[k - 1] * powers[k - 1];
  return sum_of_powers<0, Size>(coefficients, powers);
}

// sin t = t + t z P(z), cos t = 1 - z/2 + z^2 P(z), z = t^2, |t| <= pi/4; relative errors below
// 3e-17.
inline constexpr std::array kSine{-0.16666666666666666,    0.008333333333330948,
                                  -0.00019841269836758574, 2.755731610255244e-06,
                                  -2.5051131845003624e-08, 1.5918129294866608e-10};
inline constexpr std::array kCosine{0.041666666666666664,  -0.0013888888888887398,
                                    2.480158729876569e-05, -2.7557317271729793e-07,
                                    2.08761462684032e-09,  -1.1382632425521717e-11};

// atan t = t + t z P(z), z = t^2, |t| <= tan(pi/8); relative error below 1e-17.
inline constexpr std::array kArcTangent{
    -0.3333333333333333,  0.1999999999999552,  -0.14285714284666542, 0.11111111015256361,
    -0.09090904578123903, 0.07692183190826087, -0.06664511447381948, 0.0585814891280221,
    -0.0508544973794026,  0.03923165829558719, -0.01917688711906226};

// Half of pi in three parts, the first two of 33 bits: up to 2^20 times them is exact.
inline constexpr double kHalfPi1 = 1.5707963267341256;
inline constexpr double kHalfPi2 = 6.077100506303966e-11;
inline constexpr double kHalfPi3 = 2.0222662487959506e-21;
inline constexpr double kInverseHalfPi = 0.6366197723675814;
// Added to a number it leaves the nearest whole number in the lowest bits of the mantissa.
inline constexpr double kWholeShift = 6755399441055744.0;

// sin(x + quarters pi/2).
template <class Real>
[[nodiscard]] inline Real wave(const Real& x, double quarters) {
  const Real shifted = x * kInverseHalfPi + kWholeShift;
  const Real turns = shifted - kWholeShift;
  const Real t = ((x - turns * kHalfPi1) - turns * kHalfPi2) - turns * kHalfPi3;
  const Real z = t * t;
  const Real sine = t + t * (z * polynomial(kSine, z));
  const Real half = 0.5 * z;
  const Real cosine = 1.0 - (half - z * (z * polynomial(kCosine, z)));
  const Real quarter = shifted + quarters;
  return turn_sign_of_second_half(select(is_odd_quarter(quarter), cosine, sine), quarter);
}

template <class Real>
[[nodiscard]] inline Real sine(const Real& x) {
  return wave(x, 0.0);
}

template <class Real>
[[nodiscard]] inline Real cosine(const Real& x) {
  return wave(x, 1.0);
}

// From three centres: atan a = b + atan((a - tan b)/(1 + a tan b)), b = 0, pi/4, pi/2.
template <class Real>
[[nodiscard]] inline Real arc_tangent(const Real& x) {
  constexpr double kTanEighth = 0.41421356237309503;      // tan(pi/8)
  constexpr double kTanThreeEighths = 2.414213562373095;  // tan(3 pi/8)
  constexpr double kQuarter = 0.7853981633974483;         // pi/4
  constexpr double kQuarterRest = 3.061616997868383e-17;  // what is cut off of it
  const Real a = abs(x);
  const auto middle = a > kTanEighth;
  const auto steep = a > kTanThreeEighths;
  const Real numerator = select(steep, Real(-1.0), select(middle, a - 1.0, a));
  const Real denominator = select(steep, a, select(middle, a + 1.0, Real(1.0)));
  const Real quarters = select(steep, Real(2.0), select(middle, Real(1.0), Real(0.0)));
  const Real t = numerator / denominator;
  const Real z = t * t;
  const Real rest = t * (z * polynomial(kArcTangent, z)) + quarters * kQuarterRest;
  const Real size = quarters * kQuarter + (t + rest);
  return select(x < 0.0, -size, size);
}

/// x^(-1/5) for x from 1e-4 to 1e4, within 1e-3: for step sizes. Newton's rule from x^(-3/16).
template <class Real>
[[nodiscard]] inline Real inverse_fifth_root(const Real& x) {
  const Real eighth = sqrt(sqrt(sqrt(x)));
  Real root = 1.0 / (eighth * sqrt(eighth));
  for (int i = 0; i < 3; ++i) {
    const Real square_of_root = root * root;
    root = root * (1.2 - 0.2 * (x * (square_of_root * square_of_root * root)));
  }
  return root;
}

}  // namespace layshaft::elementary

namespace layshaft {

[[nodiscard]] inline double sin(double x) { return elementary::sine(x); }
[[nodiscard]] inline double cos(double x) { return elementary::cosine(x); }
[[nodiscard]] inline double atan(double x) { return elementary::arc_tangent(x); }

}  // namespace layshaft
