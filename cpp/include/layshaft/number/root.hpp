#pragma once

/// A root between two points at which a function has different signs.
///
/// Source: bracketing by G. E. Alefeld, F. A. Potra and Y. Shi, algorithm 748, ACM TOMS 21 (1995)
/// 327, as in Boost.Math. Its own message of a wrong bracket goes through streams, which would be a
/// sixth of the page's core.

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <stdexcept>

namespace layshaft {

/// The point just past the root, to so many bits of its size or 60 looks. Throws std::domain_error
/// unless the values at the ends have different signs.
template <class Function>
[[nodiscard]] double past_root(const Function& function, double begin, double end, double at_begin,
                               double at_end, int bits) {
  namespace policies = boost::math::policies;
  using Silent = policies::policy<policies::domain_error<policies::ignore_error>>;
  std::uintmax_t most_tries = 60;
  const double past = boost::math::tools::toms748_solve(
                          function, begin, end, at_begin, at_end,
                          boost::math::tools::eps_tolerance<double>(bits), most_tries, Silent())
                          .second;
  if (std::isnan(past)) throw std::domain_error("no sign changes between the ends");
  return past;
}

}  // namespace layshaft
