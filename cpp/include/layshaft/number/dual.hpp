#pragma once

/// A number with its derivatives with respect to a few variables: forward differentiation.
///
/// Evaluating a law on duals gives its exact derivatives beside its value: f(a + b e) = f(a) +
/// f'(a) b e with e^2 = 0. Decisions (select, max, the interval of a table) go by the value.
/// Source: A. Griewank and A. Walther, Evaluating Derivatives, 2nd ed., ch. 3 (from memory).

#include <array>
#include <concepts>
#include <cstddef>
#include <tuple>
#include <utility>

#include "layshaft/number/real.hpp"

namespace layshaft {

/// `Scalar` is the number underneath: double, or lanes of it.
template <class Scalar, std::size_t Variables>
struct Dual {
  Scalar value;
  std::array<Scalar, Variables> slopes;

  constexpr Dual() : value(0.0), slopes{} { slopes.fill(Scalar(0.0)); }
  // Implicit, so that constants mix with duals in a law as they do with plain numbers.
  constexpr Dual(const Scalar& constant) : value(constant), slopes{} {  // NOLINT
    slopes.fill(Scalar(0.0));
  }
  constexpr Dual(const Scalar& at, const std::array<Scalar, Variables>& with)
      : value(at), slopes(with) {}

  /// The variable of number `index` at a value: its own slope is 1.
  [[nodiscard]] static constexpr Dual variable(const Scalar& at, std::size_t index) {
    Dual result(at);
    result.slopes[index] = Scalar(1.0);
    return result;
  }

  /// All variables at these values: the slope of each is 1 in itself. Each is made whole: filled
  /// and then changed, a reader would wait for the store.
  [[nodiscard]] static constexpr std::array<Dual, Variables> variables(
      const std::array<Scalar, Variables>& at) {
    return [&]<std::size_t... I>(std::index_sequence<I...>) {
      const auto slopes = []<std::size_t Own, std::size_t... J>(std::index_sequence<Own>,
                                                                std::index_sequence<J...>) {
        return std::array<Scalar, Variables>{Scalar(J == Own ? 1.0 : 0.0)...};
      };
      return std::array<Dual, Variables>{
          Dual(at[I], slopes(std::index_sequence<I>{}, std::index_sequence<I...>{}))...};
    }(std::make_index_sequence<Variables>{});
  }

  constexpr Dual& operator+=(const Dual& other) { return *this = *this + other; }
  constexpr Dual& operator-=(const Dual& other) { return *this = *this - other; }
  constexpr Dual& operator*=(const Dual& other) { return *this = *this * other; }

  /// A function of this dual from its value and its derivative there (chain rule).
  [[nodiscard]] constexpr Dual chain(const Scalar& at, const Scalar& derivative) const {
    Dual result(at);
    for (std::size_t i = 0; i < Variables; ++i) result.slopes[i] = derivative * slopes[i];
    return result;
  }

  friend constexpr Dual operator-(const Dual& a) { return a.chain(-a.value, Scalar(-1.0)); }
  friend constexpr Dual operator+(const Dual& a, const Dual& b) {
    Dual result(a.value + b.value);
    for (std::size_t i = 0; i < Variables; ++i) result.slopes[i] = a.slopes[i] + b.slopes[i];
    return result;
  }
  friend constexpr Dual operator-(const Dual& a, const Dual& b) {
    Dual result(a.value - b.value);
    for (std::size_t i = 0; i < Variables; ++i) result.slopes[i] = a.slopes[i] - b.slopes[i];
    return result;
  }
  friend constexpr Dual operator*(const Dual& a, const Dual& b) {
    Dual result(a.value * b.value);
    for (std::size_t i = 0; i < Variables; ++i) {
      result.slopes[i] = a.value * b.slopes[i] + b.value * a.slopes[i];
    }
    return result;
  }
  friend constexpr Dual operator/(const Dual& a, const Dual& b) {
    const Scalar inverse = Scalar(1.0) / b.value;
    const Scalar quotient = a.value * inverse;
    Dual result(quotient);
    for (std::size_t i = 0; i < Variables; ++i) {
      result.slopes[i] = (a.slopes[i] - quotient * b.slopes[i]) * inverse;
    }
    return result;
  }

  // With a constant, whose slopes are zero and need not be multiplied.
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator+(const Number& a, const Dual& b) {
    return {a + b.value, b.slopes};
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator+(const Dual& a, const Number& b) {
    return {a.value + b, a.slopes};
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator-(const Number& a, const Dual& b) {
    return b.chain(a - b.value, Scalar(-1.0));
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator-(const Dual& a, const Number& b) {
    return {a.value - b, a.slopes};
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator*(const Number& a, const Dual& b) {
    return b.chain(a * b.value, Scalar(a));
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator*(const Dual& a, const Number& b) {
    return a.chain(a.value * b, Scalar(b));
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator/(const Number& a, const Dual& b) {
    const Scalar inverse = 1.0 / b.value;
    const Scalar quotient = a * inverse;
    return b.chain(quotient, -quotient * inverse);
  }
  template <std::convertible_to<Scalar> Number>
  friend constexpr Dual operator/(const Dual& a, const Number& b) {
    const Scalar inverse = Scalar(1.0) / b;
    return a.chain(a.value * inverse, inverse);
  }

  friend constexpr auto operator<(const Dual& a, const Dual& b) { return a.value < b.value; }
  friend constexpr auto operator>(const Dual& a, const Dual& b) { return a.value > b.value; }
  friend constexpr auto operator<=(const Dual& a, const Dual& b) { return a.value <= b.value; }
  friend constexpr auto operator>=(const Dual& a, const Dual& b) { return a.value >= b.value; }
};

template <class Condition, class Scalar, std::size_t N>
[[nodiscard]] constexpr Dual<Scalar, N> select(const Condition& condition, const Dual<Scalar, N>& a,
                                               const Dual<Scalar, N>& b) {
  Dual<Scalar, N> result(select(condition, a.value, b.value));
  for (std::size_t i = 0; i < N; ++i) {
    result.slopes[i] = select(condition, a.slopes[i], b.slopes[i]);
  }
  return result;
}

template <class Scalar, std::size_t N>
[[nodiscard]] constexpr Dual<Scalar, N> max(const Dual<Scalar, N>& a, const Dual<Scalar, N>& b) {
  return select(b.value > a.value, b, a);
}
template <class Scalar, std::size_t N>
[[nodiscard]] constexpr Dual<Scalar, N> min(const Dual<Scalar, N>& a, const Dual<Scalar, N>& b) {
  return select(b.value < a.value, b, a);
}
template <class Scalar, std::size_t N>
[[nodiscard]] constexpr Dual<Scalar, N> square(const Dual<Scalar, N>& x) {
  return x * x;
}
/// Slope 0 at 0, the middle of the two sides.
template <class Scalar, std::size_t N>
[[nodiscard]] Dual<Scalar, N> abs(const Dual<Scalar, N>& x) {
  const Scalar sign =
      select(x.value > 0.0, Scalar(1.0), select(x.value < 0.0, Scalar(-1.0), Scalar(0.0)));
  return x.chain(abs(x.value), sign);
}
template <class Scalar, std::size_t N>
[[nodiscard]] Dual<Scalar, N> sqrt(const Dual<Scalar, N>& x) {
  const Scalar root = sqrt(x.value);
  return x.chain(root, Scalar(0.5) / root);
}
template <class Scalar, std::size_t N>
[[nodiscard]] Dual<Scalar, N> exp(const Dual<Scalar, N>& x) {
  const Scalar power = exp(x.value);
  return x.chain(power, power);
}
template <class Scalar, std::size_t N>
[[nodiscard]] Dual<Scalar, N> sin(const Dual<Scalar, N>& x) {
  return x.chain(sin(x.value), cos(x.value));
}
template <class Scalar, std::size_t N>
[[nodiscard]] Dual<Scalar, N> cos(const Dual<Scalar, N>& x) {
  return x.chain(cos(x.value), -sin(x.value));
}
template <class Scalar, std::size_t N>
[[nodiscard]] Dual<Scalar, N> atan(const Dual<Scalar, N>& x) {
  return x.chain(atan(x.value), Scalar(1.0) / (Scalar(1.0) + x.value * x.value));
}

/// See `real.hpp`: worth while where a long function of a few variables stands among many.
template <class Function, class Scalar, std::size_t N, class... Same>
[[nodiscard]] Dual<Scalar, N> through(const Function& f, const Dual<Scalar, N>& x,
                                      const Same&... more) {
  constexpr std::size_t kFew = 1 + sizeof...(Same);
  const Dual<Scalar, kFew> inner =
      std::apply([&f](const auto&... each) { return f(each...); },
                 Dual<Scalar, kFew>::variables({x.value, more.value...}));
  Dual<Scalar, N> result = x.chain(inner.value, inner.slopes[0]);
  [[maybe_unused]] std::size_t at = 1;
  [[maybe_unused]] const auto add = [&](const Dual<Scalar, N>& of) {
    for (std::size_t i = 0; i < N; ++i) result.slopes[i] += inner.slopes[at] * of.slopes[i];
    ++at;
  };
  (add(more), ...);
  return result;
}

template <class Knots, class Scalar, std::size_t N>
[[nodiscard]] auto interval_of(const Knots& knots, std::size_t count, const Dual<Scalar, N>& x) {
  return interval_of(knots, count, x.value);
}

}  // namespace layshaft
