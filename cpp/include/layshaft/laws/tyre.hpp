#pragma once

/// Longitudinal force of the two tyres of one axle.
///
/// Sign: speeds are positive forwards; slip and strain are positive where the tread runs faster
/// than the car, w = tread - car > 0; a positive force drives the car forwards and holds the axle
/// back. In steady slip force * w >= 0 is power lost.
///
/// Slip: s = w/V with V = (|tread| + |car|)/2: +2 spinning on the spot, -2 locked, finite
/// everywhere; with the textbook slip kappa = w/car it is kappa/(1 + kappa/2), equal to first
/// order.
///
/// Steady force: F(s) = D sin(C atan(B s - E (B s - atan(B s)))), D = mu load, B C D = K load with
/// K = stiffness_factor, mu = friction_peak (1 - load_sensitivity (load - reference_load)/
/// reference_load). a(s) = F(s)/(K load s) is the share of the patch that sticks, 1 without slip.
/// The straight line of mu over load ends where it has fallen to half the friction mu_0 without
/// load: beyond, more load would hold less force. With y the share of mu_0 that it has lost,
///     mu = mu_0 (1 - y) up to y = 1/2,   mu = mu_0 (1/8 + (3/8)^2/(y - 1/8)) from there on,
/// which goes on with the same slope, stays above an eighth of mu_0, and lets mu load grow.
///
/// Give: carcass and patch in series. The carcass, a spring with a damper beside it, is strained by
/// e (deflection over relaxation); the patch creeps by c under the same force:
///     force = K load (e + damping_time de/dt),  c = V force/(K load a),  w = relaxation de/dt + c,
/// so de/dt = (a w - V e)/(relaxation a + damping_time V). In steady slip e = a s and force = F(s).
/// The force is a mean of the spring's and of F(s): a patch gives way at its grip, so that
/// |e| <= mu/K and |force| <= mu load whatever the motion. A locked tyre pushed from rest follows
/// Dahl's law of friction. Stored is K load relaxation e^2/2; what patch and damper take is >= 0.
///
/// Seen: the eye follows the slip over the relaxation length, and sees none at a standstill:
///     relaxation * d(seen)/dt = w - sqrt(V^2 + kSeenSpeed^2) * seen.
///
/// Source: H. B. Pacejka, Tyre and Vehicle Dynamics, ch. 4 (formula), ch. 3 (brush), ch. 7-8
/// (relaxation, its length falling with the slip); P. R. Dahl, A Solid Friction Model, 1968 (all
/// from memory); the end of the straight line, the mean of two speeds, the damper and `seen` are
/// this project's (damping_time is the loss tangent over the circular frequency; filled rubber .1
/// to .3, from memory).

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// Most of its radius that a tyre can lose; by then its rim runs on the road [-]. Common practice,
/// no source: foam tyres are worn by a sixth at most.
inline constexpr double kMostWear = 0.5;

/// Both tyres of one axle; forces and loads are those of the axle.
struct Tyre {
  double radius;               ///< Rolling radius when new, standing [m], > 0.
  double wear;                 ///< Radius lost so far [m], >= 0, <= kMostWear * radius.
  double growth;               ///< Radius gained per square of axle speed [m*s^2], >= 0.
  double friction_peak;        ///< Peak friction coefficient at reference load [-], > 0.
  double load_sensitivity;     ///< Loss of friction per relative load [-], 0 to 0.3.
  double reference_load;       ///< Load of the axle at which friction_peak holds [N], > 0.
  double stiffness_factor;     ///< Force per slip and load at zero slip [-], > 0.
  double cornering_stiffness;  ///< Force sideways per slip angle and load [1/rad], > 0.
  double shape;                ///< Shape factor C [-], 1 to 2.
  double curvature;            ///< Curvature factor E [-], <= 1.
  double relaxation;           ///< Relaxation length [m], > 0.
  double damping_time;         ///< Damping over stiffness of the carcass [s], 0 to 0.1.
  double rolling_resistance;   ///< Drag over load [-], >= 0.
  double inertia;              ///< Axle, pulley and both wheels [kg*m^2], > 0.
  bool operator==(const Tyre&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
inline void validate(const Tyre& tyre) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "Tyre", field, value, bound);
  };
  check(tyre.radius > 0.0 && tyre.radius < 10.0, "radius", tyre.radius, "> 0 and < 10 m");
  check(tyre.wear >= 0.0 && tyre.wear <= kMostWear * tyre.radius, "wear", tyre.wear,
        ">= 0 and <= half of radius");
  check(tyre.growth >= 0.0 && tyre.growth < 1e-6, "growth", tyre.growth, ">= 0 and < 1e-6");
  check(tyre.friction_peak > 0.0 && tyre.friction_peak < 10.0, "friction_peak", tyre.friction_peak,
        "> 0 and < 10");
  // The straight line holds up to (1 + 1/0.3)/2 = 2.2 times the reference load at least.
  check(tyre.load_sensitivity >= 0.0 && tyre.load_sensitivity <= 0.3, "load_sensitivity",
        tyre.load_sensitivity, "from 0 to 0.3");
  check(tyre.reference_load > 0.0 && tyre.reference_load < 1e6, "reference_load",
        tyre.reference_load, "> 0 and finite");
  check(tyre.stiffness_factor > 0.0 && tyre.stiffness_factor < 1e4, "stiffness_factor",
        tyre.stiffness_factor, "> 0 and finite");
  check(tyre.cornering_stiffness > 0.0 && tyre.cornering_stiffness < 1e4, "cornering_stiffness",
        tyre.cornering_stiffness, "> 0 and finite");
  check(tyre.shape >= 1.0 && tyre.shape <= 2.0, "shape", tyre.shape, "from 1 to 2");
  check(tyre.curvature <= 1.0 && tyre.curvature >= -100.0, "curvature", tyre.curvature,
        "from -100 to 1");
  check(tyre.relaxation > 0.0 && tyre.relaxation < 10.0, "relaxation", tyre.relaxation,
        "> 0 and < 10 m");
  check(tyre.damping_time >= 0.0 && tyre.damping_time <= 0.1, "damping_time", tyre.damping_time,
        "from 0 to 0.1 s");
  check(tyre.rolling_resistance >= 0.0 && tyre.rolling_resistance < 1.0, "rolling_resistance",
        tyre.rolling_resistance, ">= 0 and < 1");
  check(tyre.inertia > 0.0 && tyre.inertia < 1e3, "inertia", tyre.inertia, "> 0 and finite");
}

/// Hoisted coefficients.
template <class Real>
struct TyreLaw {
  Real radius;              ///< Rolling radius as worn, standing [m].
  Real growth;              ///< [m*s^2].
  Real friction_unloaded;   ///< Friction coefficient in the limit of no load [-].
  Real friction_fall;       ///< Share of it lost per load [1/N].
  Real stiffness_factor;    ///< [-].
  Real shape;               ///< C [-].
  Real curvature;           ///< E [-].
  Real relaxation;          ///< [m].
  Real damping_time;        ///< [s].
  Real rolling_resistance;  ///< [-].
};

[[nodiscard]] inline TyreLaw<double> make_tyre_law(const Tyre& tyre) {
  validate(tyre);
  return {.radius = tyre.radius - tyre.wear,
          .growth = tyre.growth,
          .friction_unloaded = tyre.friction_peak * (1.0 + tyre.load_sensitivity),
          .friction_fall =
              tyre.load_sensitivity / ((1.0 + tyre.load_sensitivity) * tyre.reference_load),
          .stiffness_factor = tyre.stiffness_factor,
          .shape = tyre.shape,
          .curvature = tyre.curvature,
          .relaxation = tyre.relaxation,
          .damping_time = tyre.damping_time,
          .rolling_resistance = tyre.rolling_resistance};
}

/// The four factors of the formula at one load.
template <class Real>
struct MagicFormula {
  Real stiffness;  ///< B, per unit of slip.
  Real shape;      ///< C [-].
  Real peak;       ///< D, unit of the force.
  Real curvature;  ///< E [-].
};

template <class Real>
[[nodiscard]] Real magic_formula(const MagicFormula<Real>& factors, const Real& slip) {
  const Real x = factors.stiffness * slip;
  return factors.peak * sin(factors.shape * atan(x - factors.curvature * (x - atan(x))));
}

/// Effective rolling radius [m] at `axle_speed` [rad/s].
template <class Coefficient, class Real>
[[nodiscard]] Real tyre_radius(const TyreLaw<Coefficient>& law, const Real& axle_speed) {
  return law.radius + law.growth * axle_speed * axle_speed;
}

/// Share of the friction without load that the straight line may lose, and the least that is left.
inline constexpr double kMostFall = 0.5;
inline constexpr double kLeastFriction = 0.125;

/// Peak friction coefficient [-], > 0, at `load` [N]; a lifted axle (load < 0) counts as load 0.
template <class Coefficient, class Real>
[[nodiscard]] Real tyre_friction(const TyreLaw<Coefficient>& law, const Real& load) {
  constexpr double kAbove = kMostFall - kLeastFriction;
  const Real fall = law.friction_fall * max(load, Real(0.0));
  // On the straight line the last two terms are exactly 3/8 each.
  const Real line = Real(1.0) - min(fall, Real(kMostFall));
  const Real tail = Real(square(kAbove)) / (max(fall, Real(kMostFall)) - kLeastFriction);
  return law.friction_unloaded * (line - (Real(kAbove) - tail));
}

/// Steady force [N] at `slip` [-] and `load` [N]; 0 on a lifted axle.
template <class Coefficient, class Real>
[[nodiscard]] Real tyre_force(const TyreLaw<Coefficient>& law, const Real& slip, const Real& load) {
  const Real friction = tyre_friction(law, load);
  const MagicFormula<Real> factors{.stiffness = law.stiffness_factor / (law.shape * friction),
                                   .shape = law.shape,
                                   .peak = friction * max(load, Real(0.0)),
                                   .curvature = law.curvature};
  return magic_formula(factors, slip);
}

/// The brush model with parabolic pressure and the same stiffness and friction: rises without a
/// hump to friction * load and stays there. With y = stiffness_factor |slip|/(3 friction):
/// F/(friction load) = 3 y - 3 y^2 + y^3 below y = 1.
template <class Coefficient, class Real>
[[nodiscard]] Real brush_force(const TyreLaw<Coefficient>& law, const Real& slip,
                               const Real& load) {
  const Real friction = tyre_friction(law, load);
  const Real y = min(law.stiffness_factor * abs(slip) / (3.0 * friction), Real(1.0));
  const Real size = friction * max(load, Real(0.0)) * y * (3.0 - y * (3.0 - y));
  return select(slip < 0.0, -size, size);
}

/// Share of the patch that sticks [-] at `slip` [-] and `load` [N]: steady force over what the
/// stiffness at small slip would give; 1 without slip.
template <class Coefficient, class Real>
[[nodiscard]] Real sticking_share(const TyreLaw<Coefficient>& law, const Real& slip,
                                  const Real& load) {
  constexpr double kNoSlip = 1e-9;  // The share differs from 1 by its square.
  const Real friction = tyre_friction(law, load);
  const Real x = law.stiffness_factor / (law.shape * friction) * slip;
  const Real shape = sin(law.shape * atan(x - law.curvature * (x - atan(x))));
  const auto is_small = abs(slip) < Real(kNoSlip);
  return select(is_small, Real(1.0),
                friction * shape / (law.stiffness_factor * select(is_small, Real(1.0), slip)));
}

/// Speed of tread and car [m/s] at which a slip is seen as 0.7 of it; at 4 m/s as all but 0.3 %
/// (from judgement, no source).
inline constexpr double kSeenSpeed = 0.3;

/// Speed [m/s] at which the patch is renewed, of `tread_speed` = axle speed * radius and
/// `car_speed` [m/s].
template <class Real>
[[nodiscard]] Real transport_speed(const Real& tread_speed, const Real& car_speed) {
  return 0.5 * (abs(tread_speed) + abs(car_speed));
}

/// Slip [-], from -2 (locked) to 2 (spinning on the spot); 0 where tread and car stand still.
template <class Real>
[[nodiscard]] Real tyre_slip(const Real& tread_speed, const Real& car_speed) {
  constexpr double kStandstill = 1e-12;  // [m/s]; only keeps 0/0 away.
  return (tread_speed - car_speed) /
         max(transport_speed(tread_speed, car_speed), Real(kStandstill));
}

/// d(strain)/dt [1/s]; `share` of the patch sticks at the slip of these speeds [m/s].
template <class Coefficient, class Real>
[[nodiscard]] Real tyre_strain_rate(const TyreLaw<Coefficient>& law, const Real& strain,
                                    const Real& share, const Real& tread_speed,
                                    const Real& car_speed) {
  const Real transport = transport_speed(tread_speed, car_speed);
  return (share * (tread_speed - car_speed) - transport * strain) /
         (law.relaxation * share + law.damping_time * transport);
}

/// Force [N] while the strain changes at `strain_rate` [1/s]; 0 on a lifted axle.
template <class Coefficient, class Real>
[[nodiscard]] Real tyre_force_now(const TyreLaw<Coefficient>& law, const Real& strain,
                                  const Real& strain_rate, const Real& load) {
  return law.stiffness_factor * max(load, Real(0.0)) * (strain + law.damping_time * strain_rate);
}

/// Power [W] that goes into the spring of the carcass.
template <class Coefficient, class Real>
[[nodiscard]] Real stored_power(const TyreLaw<Coefficient>& law, const Real& strain,
                                const Real& strain_rate, const Real& load) {
  return law.stiffness_factor * max(load, Real(0.0)) * law.relaxation * strain * strain_rate;
}

/// d(seen)/dt [1/s] of the slip that is seen.
template <class Coefficient, class Real>
[[nodiscard]] Real seen_slip_rate(const TyreLaw<Coefficient>& law, const Real& seen,
                                  const Real& tread_speed, const Real& car_speed) {
  const Real transport = transport_speed(tread_speed, car_speed);
  const Real renewed = sqrt(transport * transport + square(kSeenSpeed));
  return (tread_speed - car_speed - renewed * seen) / law.relaxation;
}

/// Size of the rolling drag [N] at `load` [N]. At rest it is friction, not a force: the network
/// takes it as the limit of a row to ground.
template <class Coefficient, class Real>
[[nodiscard]] Real rolling_drag(const TyreLaw<Coefficient>& law, const Real& load) {
  return law.rolling_resistance * max(load, Real(0.0));
}

/// Coefficients of the formula fitted over load, for measured full-size tyres: load in kN, slip in
/// percent, force in N. D = a1 Fz^2 + a2 Fz, B C D = (a3 Fz^2 + a4 Fz)/exp(a5 Fz),
/// E = a6 Fz^2 + a7 Fz + a8. Source: Bakker, Nyborg and Pacejka, SAE 870421.
struct LoadFit {
  double a1, a2;      ///< Peak [N/kN^2], [N/kN].
  double a3, a4, a5;  ///< Slope at zero slip [N/kN^2], [N/kN], [1/kN], per percent of slip.
  double a6, a7, a8;  ///< Curvature [1/kN^2], [1/kN], [-].
  double shape;       ///< C [-].
  bool operator==(const LoadFit&) const = default;
};

/// The four factors at `load` [kN].
[[nodiscard]] inline MagicFormula<double> magic_formula_at(const LoadFit& fit, double load) {
  const double peak = (fit.a1 * load + fit.a2) * load;
  const double slope = (fit.a3 * load + fit.a4) * load / exp(fit.a5 * load);
  return {.stiffness = slope / (fit.shape * peak),
          .shape = fit.shape,
          .peak = peak,
          .curvature = (fit.a6 * load + fit.a7) * load + fit.a8};
}

}  // namespace layshaft
