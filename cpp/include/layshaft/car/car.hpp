#pragma once

/// The whole car as one value: every number a run depends on, grouped as a mechanic would look for
/// it.
///
/// Plain values in SI units; a variation is a copy with one field replaced. The list of all fields
/// with unit, default, range and meaning is the field table (`fields.hpp`).

#include <array>

#include "layshaft/car/own_fields.hpp"
#include "layshaft/car/own_parts.hpp"
#include "layshaft/laws/air.hpp"
#include "layshaft/laws/axial_clutch.hpp"
#include "layshaft/laws/belt.hpp"
#include "layshaft/laws/engine.hpp"
#include "layshaft/laws/fuel.hpp"
#include "layshaft/laws/gear_pair.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/laws/thrown_shoes.hpp"
#include "layshaft/laws/two_speed.hpp"
#include "layshaft/laws/tyre.hpp"

namespace layshaft {

enum class ClutchDesign { axial, thrown_shoes };

/// Engine clutch: both designs are kept in the set-up, one is in the car.
struct Clutch {
  ClutchDesign design;
  AxialClutch axial;
  ThrownShoes thrown_shoes;
  double bell_inertia;  ///< Bell with both pinions [kg*m^2], > 0.
  FrictionHeat heat;
  bool operator==(const Clutch&) const = default;
};

/// What turns with the spurs and the two-speed shaft.
struct Shafts {
  double first_spur_inertia;  ///< First spur with its one-way bearing's outer part [kg*m^2], > 0.
  double drum_inertia;        ///< Second spur with the drum [kg*m^2], > 0.
  double shaft_inertia;       ///< Two-speed shaft, hub, shoes, brake disc, pulleys [kg*m^2], > 0.
  double drag;                ///< Constant bearing drag at the two-speed shaft [N*m], >= 0.
  bool operator==(const Shafts&) const = default;
};

/// How the front axle is joined to its belt. Left and right wheels are one here, so that a
/// differential runs as a solid axle on a straight; what it does in a corner is the track's matter.
enum class AxleKind {
  solid,         ///< Pulls and holds back.
  one_way,       ///< Only pulls: overruns when its wheels are faster.
  differential,  ///< Pulls and holds back, wheels of one axle free of each other.
};

/// The three toothed belts: to the rear axle, and in series by the middle to the front axle.
struct Belts {
  Belt rear;
  Belt middle;
  Belt front;
  bool operator==(const Belts&) const = default;
};

/// The belts from the two-speed shaft to the front axle, in the order of power flow.
[[nodiscard]] inline BeltPath front_path(const Belts& belts) {
  return in_series(std::array{belts.middle, belts.front});
}
[[nodiscard]] inline BeltPath rear_path(const Belts& belts) {
  return in_series(std::array{belts.rear});
}

struct Brake {
  double torque;  ///< Torque at the two-speed shaft, pedal pressed fully, sliding [N*m], >= 0.
  double static_ratio;  ///< Torque held at rest over the sliding torque [-], >= 1.
  bool operator==(const Brake&) const = default;
};

/// Mass, size and air drag.
struct Body {
  double mass;                   ///< Ready to race, with fuel [kg], > 0.
  double wheelbase;              ///< [m], > 0.
  double centre_height;          ///< Centre of gravity above the ground [m], > 0.
  double front_share;            ///< Share of the weight on the front axle at rest [-], 0..1.
  double drag_area;              ///< Drag coefficient times frontal area [m^2], >= 0.
  double downforce_area;         ///< Downforce coefficient times area [m^2].
  double downforce_front_share;  ///< Share of the downforce on the front axle [-], 0..1.
  double load_transfer_time;     ///< Time constant of the load transfer [s], > 0.
  double yaw_inertia;            ///< About the upright axis [kg*m^2], > 0.
  bool operator==(const Body&) const = default;
};

/// The finger judges the slip no further ahead than so many times its lag [-]: looking further it
/// answers to how fast the slip changes more than to how large it is, and swings.
inline constexpr double kMostLead = 4.0;

/// How the throttle finger works.
struct Driver {
  double throttle;       ///< Opening aimed at [-], 0..1.
  double rise_time;      ///< Time from shut to that opening [s], > 0.
  double response_time;  ///< Lag of hand and servo [s], > 0.
  double slip_target;    ///< Rear tyre slip at which the opening is halved [-], > 0.
  double anticipation;   ///< How far ahead the finger judges the slip [s], >= 0, within
                         ///< `kMostLead` times the lag.
  bool operator==(const Driver&) const = default;
};

struct Car {
  Engine engine;
  FuelBlend fuel;
  Clutch clutch;
  TwoSpeed two_speed;
  FrictionHeat two_speed_heat;
  GearPair first;
  GearPair second;
  Shafts shafts;
  Belts belts;
  AxleKind front_axle;
  Tyre rear_tyre;
  Tyre front_tyre;
  Brake brake;
  Body body;
  Air air;
  Driver driver;
  SettingsOf<OwnParts>::type own;  ///< Of parts that are not this library's; empty in it.
  bool operator==(const Car&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound. Checks each part
/// and what parts must fulfil together (first gear shorter than second, the brake, the axles).
void validate(const Car& car);

/// The built-in car: every field at the default of the field table. Its numbers are invented.
[[nodiscard]] Car demo_car();

}  // namespace layshaft
