#pragma once

/// Settings that a part brings in itself, and their rows of the field table. A part of `OwnParts`
/// (`own_parts.hpp`) that has some says so:
///
///     struct Settings {
///       double damping;  ///< [N*m*s]
///       bool operator==(const Settings&) const = default;
///     };
///     static constexpr std::array fields{OwnField<Settings>{
///         "axle_lock.damping", "N*m*s", 2e-3, 0.0, 0.1, "Torque per ...", &Settings::damping}};
///
/// and its `law_of` finds them by `std::get<Settings>(car.own)`.

#include <cstddef>
#include <string_view>
#include <tuple>

namespace layshaft {

/// A row of the field table, as `Field`, for a number among a part's settings.
template <class Settings>
struct OwnField {
  std::string_view path;
  std::string_view unit;  ///< SI; "1" for a ratio.
  double fallback;        ///< Value of a set-up that leaves it out.
  double minimum;         ///< Least plausible value, inclusive.
  double maximum;         ///< Greatest plausible value, inclusive.
  std::string_view meaning;
  double Settings::* member;
};

template <class Part>
concept HasSettings = requires {
  typename Part::Settings;
  Part::fields;
};

/// The settings of a part, as a tuple with one entry or none.
template <class Part>
struct SettingsOfPart {
  using type = std::tuple<>;
};
template <HasSettings Part>
struct SettingsOfPart<Part> {
  using type = std::tuple<typename Part::Settings>;
};

/// The settings of all parts of a tuple.
template <class Parts>
struct SettingsOf;
template <class... Parts>
struct SettingsOf<std::tuple<Parts...>> {
  using type = decltype(std::tuple_cat(typename SettingsOfPart<Parts>::type{}...));
};

}  // namespace layshaft
