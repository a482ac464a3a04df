#pragma once

/// Several numbers side by side, one for each of as many launches: the number type that fills a
/// processor's vector registers.
///
/// Every operation acts on each lane by itself and rounds as the same operation on a double does,
/// so a lane gives the same bits as a plain number. Built on the vector extensions of g++ and
/// clang; a width beyond the processor's registers is split by the compiler.
///
/// A source compiled for a larger instruction set defines LAYSHAFT_LANES_NAMESPACE, which becomes
/// part of the name of everything made from these lanes: so the linker never takes such code for
/// the plain one.

#include <array>
#include <cstddef>
#include <cstdint>

#include "layshaft/number/real.hpp"

#if defined(__AVX2__)
#include <immintrin.h>
#endif

#ifndef LAYSHAFT_LANES_NAMESPACE
#define LAYSHAFT_LANES_NAMESPACE plain
#endif

namespace layshaft {
inline namespace LAYSHAFT_LANES_NAMESPACE {

// Written out for each width: g++ does not take a vector size that depends on a template's
// argument.
template <int Width>
struct Packs;
template <>
struct Packs<2> {
  using Number [[gnu::vector_size(16)]] = double;
  using Whole [[gnu::vector_size(16)]] = std::int64_t;
};
template <>
struct Packs<4> {
  using Number [[gnu::vector_size(32)]] = double;
  using Whole [[gnu::vector_size(32)]] = std::int64_t;
};
template <>
struct Packs<8> {
  using Number [[gnu::vector_size(64)]] = double;
  using Whole [[gnu::vector_size(64)]] = std::int64_t;
};

/// Yes or no for each lane: all bits set or none. Also a whole number for each lane.
template <int Width>
struct WholeLanes {
  using Pack = typename Packs<Width>::Whole;
  Pack pack;

  [[nodiscard]] bool at(int lane) const { return pack[lane] != 0; }
  friend WholeLanes operator&(const WholeLanes& a, const WholeLanes& b) {
    return {a.pack & b.pack};
  }
  friend WholeLanes operator|(const WholeLanes& a, const WholeLanes& b) {
    return {a.pack | b.pack};
  }
  friend WholeLanes operator!(const WholeLanes& a) { return {~a.pack}; }
};

/// `Width` doubles, a power of two.
template <int Width>
struct Lanes {
  using Pack = typename Packs<Width>::Number;
  using Mask = WholeLanes<Width>;
  static constexpr int kWidth = Width;

  Pack pack;

  Lanes() = default;
  // Implicit, so that constants mix with lanes in a law as they do with plain numbers.
  Lanes(double all) : pack(Pack{} + all) {}  // NOLINT
  explicit Lanes(const Pack& lanes) : pack(lanes) {}

  [[nodiscard]] double at(int lane) const { return pack[lane]; }
  void set(int lane, double value) { pack[lane] = value; }

  Lanes& operator+=(const Lanes& other) { return *this = *this + other; }
  Lanes& operator-=(const Lanes& other) { return *this = *this - other; }
  Lanes& operator*=(const Lanes& other) { return *this = *this * other; }

  friend Lanes operator-(const Lanes& a) { return Lanes(-a.pack); }
  friend Lanes operator+(const Lanes& a, const Lanes& b) { return Lanes(a.pack + b.pack); }
  friend Lanes operator-(const Lanes& a, const Lanes& b) { return Lanes(a.pack - b.pack); }
  friend Lanes operator*(const Lanes& a, const Lanes& b) { return Lanes(a.pack * b.pack); }
  friend Lanes operator/(const Lanes& a, const Lanes& b) { return Lanes(a.pack / b.pack); }
  friend Mask operator<(const Lanes& a, const Lanes& b) { return {a.pack < b.pack}; }
  friend Mask operator>(const Lanes& a, const Lanes& b) { return {a.pack > b.pack}; }
  friend Mask operator<=(const Lanes& a, const Lanes& b) { return {a.pack <= b.pack}; }
  friend Mask operator>=(const Lanes& a, const Lanes& b) { return {a.pack >= b.pack}; }
  friend Mask operator==(const Lanes& a, const Lanes& b) { return {a.pack == b.pack}; }

  // Found through their arguments, in the laws and in the elementary functions.
  [[nodiscard]] friend Lanes select(const Mask& condition, const Lanes& a, const Lanes& b) {
    return Lanes(condition.pack ? a.pack : b.pack);
  }
  [[nodiscard]] friend Lanes max(const Lanes& a, const Lanes& b) { return select(b > a, b, a); }
  [[nodiscard]] friend Lanes min(const Lanes& a, const Lanes& b) { return select(b < a, b, a); }
  [[nodiscard]] friend Lanes square(const Lanes& x) { return x * x; }
  [[nodiscard]] friend Lanes abs(const Lanes& x) {
    return bits(bits(x) & (Bits{} + 0x7fff'ffff'ffff'ffffLL));
  }
  [[nodiscard]] friend Mask is_odd_quarter(const Lanes& quarter) {
    return {(bits(quarter) & 1) != 0};
  }
  [[nodiscard]] friend Lanes turn_sign_of_second_half(const Lanes& x, const Lanes& quarter) {
    return bits(bits(x) ^ ((bits(quarter) & 2) << 62));
  }
  [[nodiscard]] friend Lanes sqrt(const Lanes& x) {
    Lanes root;
    for (int lane = 0; lane < Width; ++lane) root.pack[lane] = __builtin_sqrt(x.pack[lane]);
    return root;
  }
  [[nodiscard]] friend Lanes sin(const Lanes& x) { return elementary::sine(x); }
  [[nodiscard]] friend Lanes cos(const Lanes& x) { return elementary::cosine(x); }
  [[nodiscard]] friend Lanes atan(const Lanes& x) { return elementary::arc_tangent(x); }

  /// As for plain numbers; `knots[k]` are lanes, each lane with its own table.
  template <class Knots>
  [[nodiscard]] friend Mask interval_of(const Knots& knots, std::size_t count, const Lanes& x) {
    Mask index{};
    for (std::size_t k = 1; k + 1 < count; ++k) index.pack -= (x >= knots[k]).pack;
    return index;
  }

 private:
  using Bits = typename Packs<Width>::Whole;
  // Between vectors of one size a cast keeps the bits.
  [[nodiscard]] static Bits bits(const Lanes& x) { return reinterpret_cast<Bits>(x.pack); }
  [[nodiscard]] static Lanes bits(const Bits& x) { return Lanes(reinterpret_cast<Pack>(x)); }
};

/// Entry of each lane's own table at its own position.
template <int Width, std::size_t Count>
[[nodiscard]] Lanes<Width> look_up(const std::array<Lanes<Width>, Count>& entries,
                                   const WholeLanes<Width>& index) {
  const double* const table = reinterpret_cast<const double*>(entries.data());
  Lanes<Width> found;
#if defined(__AVX512F__)
  if constexpr (Width == 8) {
    const WholeLanes<8> place{index.pack * 8 +
                              typename WholeLanes<8>::Pack{0, 1, 2, 3, 4, 5, 6, 7}};
    // With a mask of all lanes: the unmasked form makes g++ 12 warn of its own header.
    found.pack = _mm512_mask_i64gather_pd(_mm512_setzero_pd(), 0xff,
                                          reinterpret_cast<__m512i>(place.pack), table, 8);
    return found;
  }
#endif
  for (int lane = 0; lane < Width; ++lane) {
    found.pack[lane] = table[index.pack[lane] * Width + lane];
  }
  return found;
}

}  // namespace LAYSHAFT_LANES_NAMESPACE
}  // namespace layshaft
