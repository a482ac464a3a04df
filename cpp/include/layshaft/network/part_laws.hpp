#pragma once

/// The coefficients and the frozen switches of all parts of a list: plain numbers of one type.

#include <tuple>
#include <type_traits>

#include "layshaft/network/part.hpp"

namespace layshaft::parts {

// One base for each part, so that two parts may share a type of law; of no size where the part has
// no numbers.
template <class Part, class Real, class Law = typename Part::template Law<Real>>
struct LawOf {
  Law law;
};
template <class Part, class Real, class Law>
  requires std::is_empty_v<Law>
struct LawOf<Part, Real, Law> {
  static constexpr Law law{};
};
template <class Part, class Real, class Active = typename Part::template Active<Real>>
struct ActiveOf {
  Active active;
};
template <class Part, class Real, class Active>
  requires std::is_empty_v<Active>
struct ActiveOf<Part, Real, Active> {
  static constexpr Active active{};
};

namespace assemble {

template <class Tuple, class Real>
struct LawPack;
template <class... Each, class Real>
struct LawPack<std::tuple<Each...>, Real> : LawOf<Each, Real>... {};
template <class Tuple, class Real>
struct ActivePack;
template <class... Each, class Real>
struct ActivePack<std::tuple<Each...>, Real> : ActiveOf<Each, Real>... {};

}  // namespace assemble

/// Coefficients of all parts of a list; `of<Part>()` is that of one.
template <class List, class Real>
struct Laws : assemble::LawPack<typename List::parts, Real> {
  template <class Part>
  [[nodiscard]] auto& of() {
    return static_cast<LawOf<Part, Real>&>(*this).law;
  }
  template <class Part>
  [[nodiscard]] const auto& of() const {
    return static_cast<const LawOf<Part, Real>&>(*this).law;
  }
};

/// The frozen switches of all parts.
template <class List, class Real>
struct Actives : assemble::ActivePack<typename List::parts, Real> {
  template <class Part>
  [[nodiscard]] auto& of() {
    return static_cast<ActiveOf<Part, Real>&>(*this).active;
  }
  template <class Part>
  [[nodiscard]] const auto& of() const {
    return static_cast<const ActiveOf<Part, Real>&>(*this).active;
  }
};

}  // namespace layshaft::parts
