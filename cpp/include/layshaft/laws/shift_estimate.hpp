#pragma once

/// Closed forms for the change from first to second gear.
///
/// Sign: torques [N*m] are at the two-speed shaft where "drum" or "load" is said, at the engine
/// otherwise. Gear ratios are bell over shaft speed, first > second. `bell_inertia` includes the
/// crank while the engine clutch holds; `shaft_inertia` is the car seen at the shaft.
/// Equation: the first gear's one-way bearing carries until the drum takes
///   T* = r2 (T_e + I_b r1 T_L/J)/(1 + I_b r1 r2/J); then, with the speed gap D = (r1 - r2) w at
///   the bell and a constant drum torque T_d, t = D / [(T_d/r2 - T_e)/I_b + r2 (T_d - T_L)/J] and
///   heat T_d D t/(2 r2). Heavy car: heat = I_b D^2/2 / (1 - r2 T_e/T_d); drum torque rising as T*
///   + q t: t = sqrt(2 r2 I_b D/q), heat = 2/3 T* D t/r2 + I_b D^2/2.
/// Source: derived from the momentum of bell and shaft; losses of the meshes are not in it.

namespace layshaft {

/// What turns, and what drives and brakes it, during a shift.
struct ShiftBodies {
  double first_ratio;    ///< r1 [-], > second_ratio.
  double second_ratio;   ///< r2 [-], > 0.
  double bell_inertia;   ///< I_b [kg*m^2], > 0.
  double shaft_inertia;  ///< J [kg*m^2], > 0.
  double engine_torque;  ///< T_e [N*m], constant.
  double load_torque;    ///< T_L at the shaft [N*m], constant.
  bool operator==(const ShiftBodies&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const ShiftBodies& bodies);

/// Length and heat of the hand-over.
struct HandOver {
  double time;  ///< Time of slipping [s].
  double heat;  ///< Heat made between shoes and drum [J].
};

/// Drum torque T* [N*m] at which the first gear's one-way bearing lets go.
[[nodiscard]] double hand_over_torque(const ShiftBodies& bodies);

/// Hand-over under a constant drum torque [N*m] from this shaft speed [rad/s]. Refuses a drum
/// torque too small ever to close the gap.
[[nodiscard]] HandOver hand_over(const ShiftBodies& bodies, double drum_torque, double shaft_speed);

/// The same with a car so heavy that its speed does not change.
[[nodiscard]] HandOver heavy_car_hand_over(const ShiftBodies& bodies, double drum_torque,
                                           double shaft_speed);

/// Hand-over of a heavy car when the drum torque rises from T* by `torque_rate` [N*m/s], > 0.
[[nodiscard]] HandOver rising_hand_over(const ShiftBodies& bodies, double torque_rate,
                                        double shaft_speed);

/// Greatest drum torque [N*m] through which the engine clutch stays closed: `clutch_capacity`
/// [N*m], `crank_inertia` [kg*m^2]; here `bodies.bell_inertia` is without the crank.
[[nodiscard]] double drum_torque_clutch_holds(const ShiftBodies& bodies, double clutch_capacity,
                                              double crank_inertia);

/// A load between what the two gears can pull.
struct HuntingLoad {
  ShiftBodies bodies;  ///< Load torque: resistance of the car at the shaft near the shift.
  double efficiency;   ///< From the bell to the shaft [-], 0..1.
  bool operator==(const HuntingLoad&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const HuntingLoad& load);

/// Whether first gear pulls the load and second does not: r2 T_e < load/efficiency < r1 T_e.
[[nodiscard]] bool load_between_gears(const HuntingLoad& load);

/// Capacity per speed squared K_h [N*m*s^2] above which the car shifts up and down again and again
/// under such a load; below it second gear slips for good. With T2 = r2 T_e, R' = load/efficiency
/// and D = R' - T2: K_h = J [T2 - D ln(R'/D)] / (2 eff r2 I_b (r1 - r2) w_off^2): the slip gained
/// while the capacity falls from T2 to nothing just spans the gap. An estimate, some 20 % low.
[[nodiscard]] double hunting_gain(const HuntingLoad& load, double release_speed);

}  // namespace layshaft
