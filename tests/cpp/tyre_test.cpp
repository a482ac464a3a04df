#include "layshaft/laws/tyre.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::record_not_met;
using testing::Seen;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

/// An invented rear axle of foam tyres.
Tyre rear_tyre() {
  return {.radius = 0.037,
          .wear = 0.0005,
          .growth = 6e-10,
          .friction_peak = 1.6,
          .load_sensitivity = 0.1,
          .reference_load = 14.0,
          .stiffness_factor = 20.0,
          .cornering_stiffness = 12.0,
          .shape = 1.5,
          .curvature = 0.3,
          .relaxation = 0.03,
          .damping_time = 0.004,
          .rolling_resistance = 0.03,
          .inertia = 1.3e-4};
}

TEST(Tyre, FormulaPeaksAtItsPeakFactor) {
  // With E = 0 the sine reaches 1 where C atan(B s) = pi/2.
  const MagicFormula<double> factors{
      .stiffness = 10.0, .shape = 1.5, .peak = 7.0, .curvature = 0.0};
  const double at_peak = std::tan(kPi / 3.0) / 10.0;
  const Published published{"Y3", "peak over D [-]", "Pacejka, Tyre and Vehicle Dynamics, ch. 4",
                            Seen::kDerived, "magic_formula; over D"};
  check_published(published, 1.0, magic_formula(factors, at_peak) / 7.0, kRoundOff);
  EXPECT_LT(magic_formula(factors, at_peak - 0.01), 7.0);
  EXPECT_LT(magic_formula(factors, at_peak + 0.01), 7.0);
}

TEST(Tyre, FormulaStartsWithSlopeBCD) {
  const MagicFormula<double> factors{
      .stiffness = 10.0, .shape = 1.5, .peak = 7.0, .curvature = 0.3};
  constexpr double kSlip = 1e-6;
  const Published published{"Y3", "slope at zero slip over BCD [-]",
                            "Pacejka, Tyre and Vehicle Dynamics, ch. 4", Seen::kDerived,
                            "magic_formula; over B C D times slip"};
  // truncation: relative (B s)^2 = 1e-10 at this slip
  check_published(published, 1.0, magic_formula(factors, kSlip) / (105.0 * kSlip), 2e-10);
}

TEST(Tyre, FormulaEndsAtItsAsymptote) {
  const MagicFormula<double> factors{
      .stiffness = 10.0, .shape = 1.5, .peak = 7.0, .curvature = 0.3};
  const Published published{"Y3", "force at endless slip over D [-]",
                            "Pacejka, Tyre and Vehicle Dynamics, ch. 4", Seen::kDerived,
                            "magic_formula; over D"};
  // atan(x) = pi/2 - 1/x: at B s (1 - E) = 7e9 the rest is 1e-10
  check_published(published, std::sin(kPi * 1.5 / 2.0), magic_formula(factors, 1e9) / 7.0, 3e-10);
}

TEST(Tyre, PublishedLoadFitGivesItsOwnPeaks) {
  const LoadFit fit{.a1 = -21.3,
                    .a2 = 1144.0,
                    .a3 = 49.6,
                    .a4 = 226.0,
                    .a5 = 0.069,
                    .a6 = -0.006,
                    .a7 = 0.056,
                    .a8 = 0.486,
                    .shape = 1.65};
  struct Row {
    double load;        // [kN]
    double peak;        // Printed [N].
    double common_fit;  // a1 Fz^2 + a2 Fz by hand [N].
  };
  const std::string source = "Bakker, Nyborg and Pacejka, SAE 870421";
  const std::string at_load = " kN [N]";
  for (const Row& row :
       {Row{2, 2193, 2202.8}, Row{4, 4236, 4235.2}, Row{6, 6090, 6097.2}, Row{8, 7711, 7788.8}}) {
    const MagicFormula<double> factors = magic_formula_at(fit, row.load);
    EXPECT_NEAR(factors.peak, row.common_fit, kRoundOff * row.common_fit);
    // Half of the last digits of a1, a2 and the peak.
    const double digits = 0.05 * row.load * row.load + 0.5 * row.load + 0.5;
    const std::string load = std::to_string(static_cast<int>(row.load)) + at_load;
    const Published published{"Y2", "peak at " + load, source, Seen::kFromMemory,
                              "magic_formula_at"};
    if (row.load == 4.0) {
      check_published(published, row.peak, factors.peak, digits);
    } else {
      record_not_met(published, row.peak, factors.peak, digits,
                     "the printed peak is of a fit at this load alone; a1 and a2 are fitted "
                     "through all four and give a1 F^2 + a2 F");
    }
    // B C D by hand at this load, slip in percent
    const double slope = (49.6 * row.load + 226.0) * row.load * std::exp(-0.069 * row.load);
    EXPECT_NEAR(factors.stiffness * factors.shape * factors.peak, slope, 10 * kRoundOff * slope);
  }
}

TEST(Tyre, BrushFollowsItsCubic) {
  Tyre tyre = rear_tyre();
  tyre.load_sensitivity = 0.0;
  const TyreLaw<double> law = make_tyre_law(tyre);
  const double load = 10.0;
  const double full_slide = 3.0 * 1.6 / 20.0;  // slip at which y = 1
  const Published published{"Y4", "F/(mu Fz) at y = 0.5 [-]",
                            "Pacejka, Tyre and Vehicle Dynamics, ch. 3", Seen::kFromMemory,
                            "brush_force; over mu F_z"};
  check_published(published, 0.875, brush_force(law, 0.5 * full_slide, load) / (1.6 * load),
                  kRoundOff);
  // Both sides of full sliding, where the cubic meets the limit with slope and curvature 0.
  EXPECT_NEAR(brush_force(law, (1.0 - 1e-4) * full_slide, load), 16.0, 16.0 * 2e-12);
  EXPECT_EQ(brush_force(law, full_slide * 1.001, load), 16.0);
  EXPECT_EQ(brush_force(law, 2.0, load), 16.0);
}

TEST(Tyre, BrushAndFormulaShareTheirStiffness) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  constexpr double kSlip = 1e-7;
  // 20 per slip and load: 20 * 12 N * 1e-7; the brush bends by y = 20 s/(3 mu) = 4e-7
  EXPECT_NEAR(tyre_force(law, kSlip, 12.0), 240.0 * kSlip, 240.0 * kSlip * 1e-10);
  EXPECT_NEAR(brush_force(law, kSlip, 12.0), 240.0 * kSlip, 240.0 * kSlip * 1e-6);
}

TEST(Tyre, DriveAndBrakeAreMirrored) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  for (const double slip : {0.0, 0.01, 0.1, 0.5, 2.0}) {
    EXPECT_EQ(tyre_force(law, -slip, 12.0), -tyre_force(law, slip, 12.0));
    EXPECT_EQ(brush_force(law, -slip, 12.0), -brush_force(law, slip, 12.0));
  }
}

TEST(Tyre, ALiftedAxleGivesNoForce) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  for (const double load : {0.0, -5.0}) {
    EXPECT_EQ(tyre_force(law, 0.1, load), 0.0);
    EXPECT_EQ(brush_force(law, 0.1, load), 0.0);
    EXPECT_EQ(rolling_drag(law, load), 0.0);
  }
  EXPECT_GT(tyre_force(law, 0.1, 1e-9), 0.0);
}

TEST(Tyre, FrictionFallsWithLoad) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  EXPECT_NEAR(tyre_friction(law, 14.0), 1.6, kRoundOff);
  // one reference load more: 1.6 (1 - 0.1)
  EXPECT_NEAR(tyre_friction(law, 28.0), 1.44, kRoundOff);
  EXPECT_NEAR(tyre_friction(law, 0.0), 1.76, kRoundOff);
}

TEST(Tyre, FrictionLeavesItsStraightLineAtHalfOfWhatItBeganWith) {
  Tyre tyre = rear_tyre();
  tyre.load_sensitivity = 0.25;
  tyre.reference_load = 10.0;
  tyre.friction_peak = 1.6;
  // Without load 1.6 * 1.25 = 2; lost for each N 1.6 * 0.25/10 = 0.04, so the line ends at 25 N.
  const TyreLaw<double> law = make_tyre_law(tyre);
  EXPECT_NEAR(tyre_friction(law, 20.0), 1.2, kRoundOff);
  EXPECT_NEAR(tyre_friction(law, 25.0), 1.0, kRoundOff);
  // Where the line would be at 0: 2 (1/8 + (9/64)/(7/8)) = 4/7.
  EXPECT_NEAR(tyre_friction(law, 50.0), 4.0 / 7.0, kRoundOff);
  // The slope goes on; the bend is 0.04^2 * 2/(3/8)/2 = 0.004 for each N.
  constexpr double kStep = 1e-4;
  EXPECT_NEAR((tyre_friction(law, 25.0) - tyre_friction(law, 25.0 - kStep)) / kStep, -0.04, 1e-6);
  EXPECT_NEAR((tyre_friction(law, 25.0 + kStep) - tyre_friction(law, 25.0)) / kStep, -0.04, 1e-6);
}

TEST(Tyre, HoldsNoLessForceUnderMoreLoadWhateverTheLoad) {
  for (const double sensitivity : {0.0, 0.01, 0.05, 0.3}) {
    for (const double reference : {1.0, 14.0, 500.0}) {
      Tyre tyre = rear_tyre();
      tyre.load_sensitivity = sensitivity;
      tyre.reference_load = reference;
      const TyreLaw<double> law = make_tyre_law(tyre);
      double held = 0.0;
      for (double load = 0.01; load < 1e6; load *= 1.1) {
        EXPECT_GT(tyre_friction(law, load), tyre.friction_peak * (1.0 + sensitivity) / 8.0);
        const double now = tyre_friction(law, load) * load;
        EXPECT_GE(now, held);
        held = now;
      }
    }
  }
}

TEST(Tyre, RadiusWearsAndGrows) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  EXPECT_NEAR(tyre_radius(law, 0.0), 0.0365, kRoundOff);
  // 6e-10 * 800^2 = 0.384 mm, the same in both directions
  EXPECT_NEAR(tyre_radius(law, 800.0), 0.036884, kRoundOff);
  EXPECT_EQ(tyre_radius(law, -800.0), tyre_radius(law, 800.0));
}

/// Strain rate, force and stored power of the rear tyre at 12 N.
struct Give {
  double rate, force, stored;
};
Give give(const TyreLaw<double>& law, double strain, double tread, double car) {
  const double share = sticking_share(law, tyre_slip(tread, car), 12.0);
  const double rate = tyre_strain_rate(law, strain, share, tread, car);
  return {rate, tyre_force_now(law, strain, rate, 12.0), stored_power(law, strain, rate, 12.0)};
}

TEST(Tyre, SlipIsTwiceDifferenceOverSum) {
  struct Row {
    double tread;
    double car;
    double slip;
  };
  for (const Row& row : {Row{11, 10, 2.0 / 21}, Row{9, 10, -2.0 / 19}, Row{5, 0, 2}, Row{0, 5, -2},
                         Row{-11, -10, -2.0 / 21}, Row{0, 0, 0}}) {
    EXPECT_NEAR(tyre_slip(row.tread, row.car), row.slip, kRoundOff);
  }
}

TEST(Tyre, SlipEqualsTheTextbookSlipToFirstOrder) {
  // kappa = (tread - car)/car; slip = kappa/(1 + kappa/2)
  for (const double kappa : {-0.1, -0.01, 0.01, 0.1}) {
    const double slip = kappa / (1.0 + 0.5 * kappa);
    EXPECT_NEAR(tyre_slip(10.0 * (1.0 + kappa), 10.0), slip, kRoundOff);
    EXPECT_LT(std::abs(slip - kappa), 0.6 * kappa * kappa);
  }
}

TEST(Tyre, SteadyForceIsThatOfTheSlipCurveWhateverTheDamping) {
  // At rest in strain: e = F(s)/(20 * 12 N); wound up more or less, it comes back.
  Tyre tyre = rear_tyre();
  for (const double damping_time : {0.0, 0.004, 0.1}) {
    tyre.damping_time = damping_time;
    const TyreLaw<double> law = make_tyre_law(tyre);
    for (int k = -40; k <= 40; ++k) {
      const double slip = 0.0475 * k;  // To +-1.9: both sides of the peak.
      const double tread = 10.0 * (1.0 + 0.5 * slip);
      const double car = 10.0 * (1.0 - 0.5 * slip);
      const double strain = tyre_force(law, slip, 12.0) / 240.0;
      const Give at = give(law, strain, tread, car);
      EXPECT_NEAR(at.rate, 0.0, kRoundOff * 10.0 / 0.03 / 0.03);  // V e over the least length.
      EXPECT_NEAR(at.force, tyre_force(law, slip, 12.0), kRoundOff * 240.0);
      EXPECT_GT(give(law, strain - 0.01, tread, car).rate, 0.0);
      EXPECT_LT(give(law, strain + 0.01, tread, car).rate, 0.0);
    }
  }
}

TEST(Tyre, StrainSettlesWithinTheRelaxationLength) {
  // From no strain at 10 m/s and s = 2/21: a w over (length a + damping time V), by hand.
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  const double share = tyre_force(law, 2.0 / 21.0, 12.0) / (240.0 * 2.0 / 21.0);
  EXPECT_NEAR(give(law, 0.0, 11.0, 10.0).rate, share * 1.0 / (0.03 * share + 0.004 * 10.5), 1e-12);
}

TEST(Tyre, ShareThatSticksIsTheSteadyForceOverThatOfTheStiffness) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  for (const double load : {3.0, 12.0, 20.0}) {
    EXPECT_EQ(sticking_share(law, 0.0, load), 1.0);
    // The two forms meet: 1 - (B s)^2 of the formula's series is 1 at round-off.
    EXPECT_NEAR(sticking_share(law, 1.01e-9, load), 1.0, kRoundOff);
    for (const double slip : {-1.5, -0.1, 0.003, 0.2, 2.0}) {
      EXPECT_NEAR(sticking_share(law, slip, load) * 20.0 * load * slip, tyre_force(law, slip, load),
                  kRoundOff * 20.0 * load);
    }
  }
}

TEST(Tyre, AtStandstillTheForceIsThatOfASpringWithADamper) {
  // stiffness_factor load (u + damping_time du/dt)/relaxation, u the winding [m].
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  EXPECT_EQ(give(law, 0.05, 0.0, 0.0).rate, 0.0);
  EXPECT_EQ(give(law, 0.05, 0.0, 0.0).force, 12.0);
  constexpr double kWinding = 1e-7;
  constexpr double kSpeed = 3e-5;
  const double expected = 240.0 * (kWinding + 0.004 * kSpeed) / 0.03;
  // The patch yields by V force/(K load a): at s = 2, a = F(2)/(240 * 2), of the winding speed
  // this is the share force/(2 F(2)) and as much of the damping time.
  const double yields = expected / (2.0 * tyre_force(law, 2.0, 12.0));
  EXPECT_NEAR(give(law, kWinding / 0.03, kSpeed, 0.0).force, expected, 2.0 * yields * expected);
}

TEST(Tyre, EyeSeesTheSteadySlipAndNoneAtAStandstill) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  // w/V with V = 10.5 m/s, less by half of (0.3/10.5)^2.
  const double seen = 1.0 / std::sqrt(10.5 * 10.5 + 0.09);
  EXPECT_NEAR(seen_slip_rate(law, seen, 11.0, 10.0), 0.0, 1e-12);
  EXPECT_NEAR(seen, 2.0 / 21.0, 2.0 / 21.0 * 4.1e-4);
  // What was seen of locked wheels fades within 0.03 m/(0.3 m/s) once the car stands.
  EXPECT_NEAR(seen_slip_rate(law, -2.0, 0.0, 0.0), 20.0, 1e-12);
}

// A locked tyre under a mass, without damping: the carcass yields at F2, the steady force at full
// slide. k its stiffness, u2 = F2/k.
struct LockedTyre {
  explicit LockedTyre(double damping_time, double under_mass = 2.3) : mass(under_mass) {
    Tyre tyre = rear_tyre();
    tyre.damping_time = damping_time;
    law = make_tyre_law(tyre);
    sliding = tyre_force(law, 2.0, 12.0);
  }
  TyreLaw<double> law{};
  double sliding;                   // F2 [N]
  double stiffness = 240.0 / 0.03;  // k [N/m]
  double mass;                      // [kg]
};

// Motion of the mass: classical Runge-Kutta.
struct Ride {
  double strain = 0.0, speed, place = 0.0;  // [-], [m/s], [m]
  double lost = 0.0;                        // [J]
};
struct Slopes {
  double strain, speed, lost;
};
constexpr double kRideStep = 1e-5;  // [s]

Slopes slopes_of(const LockedTyre& tyre, const Ride& at, double push) {
  const Give now = give(tyre.law, at.strain, 0.0, at.speed);
  return {now.rate, (now.force + push) / tyre.mass, -now.force * at.speed - now.stored};
}
void step_ride(const LockedTyre& tyre, double push, Ride& ride) {
  const auto ahead = [&](const Slopes& by, double time) {
    Ride moved = ride;
    moved.strain += time * by.strain;
    moved.speed += time * by.speed;
    return moved;
  };
  const Slopes k1 = slopes_of(tyre, ride, push);
  const Slopes k2 = slopes_of(tyre, ahead(k1, 0.5 * kRideStep), push);
  const Slopes k3 = slopes_of(tyre, ahead(k2, 0.5 * kRideStep), push);
  const Slopes k4 = slopes_of(tyre, ahead(k3, kRideStep), push);
  const auto mean = [&](double Slopes::* of) {
    return kRideStep * (k1.*of + 2.0 * (k2.*of) + 2.0 * (k3.*of) + k4.*of) / 6.0;
  };
  const double begin = ride.speed;
  ride.strain += mean(&Slopes::strain);
  ride.speed += mean(&Slopes::speed);
  ride.lost += mean(&Slopes::lost);
  ride.place += kRideStep * 0.5 * (begin + ride.speed);
}

// Rates reach 3000 1/s: a step of the fourth order errs by (0.03)^5/120, some 1e-10, and the one in
// which the speed turns, where |speed| has a kink, by the square of the step.
constexpr double kRideError = 1e-6;

TEST(LockedTyre, FollowsDahlsLawOfFriction) {
  // F = F2 (1 - exp(-k x/F2)) of the way x [m] from rest.
  const LockedTyre tyre(0.0, 1e15);  // So heavy that it keeps its speed.
  Ride ride{.speed = -0.5};
  for (int k = 1; k <= 2000; ++k) {
    step_ride(tyre, 0.0, ride);
    const double way = 0.5 * kRideStep * k;
    const double expected = tyre.sliding * (1.0 - std::exp(-tyre.stiffness * way / tyre.sliding));
    EXPECT_NEAR(give(tyre.law, ride.strain, 0.0, -0.5).force, expected, 1e-9 * tyre.sliding);
  }
}

TEST(LockedTyre, RebuffsTheMassByNoMoreThanItsGripHasWoundUp) {
  // With p = F/F2 and x from where the mass stands: dp/dx = -(1 + p)/u2 on the way back, so that
  // the work on it is F2 u2 (1 - ln 2) when p = 0: v = sqrt(2 (1 - ln 2)) u2 omega. It goes on to
  // where 1 - ln 2 = -p - ln(1 - p) on the other side: ln 2 + that p, 1.594 u2 in all.
  const LockedTyre tyre(0.0);
  const double winding = tyre.sliding / tyre.stiffness;
  const double rebound =
      std::sqrt(2.0 * (1.0 - std::log(2.0))) * winding * std::sqrt(tyre.stiffness / tyre.mass);
  double low = 0.0;
  double high = 1.0;
  for (int i = 0; i < 60; ++i) {
    const double p = 0.5 * (low + high);
    (-p - std::log(1.0 - p) < 1.0 - std::log(2.0) ? low : high) = p;
  }
  // Way on the far side: x/u2 = -ln(1 - p).
  const double way = (std::log(2.0) - std::log(1.0 - low)) * winding;
  Ride ride{.speed = 5.0};
  double least = 0.0;
  double stopped_at = -1.0;
  double furthest = 0.0;
  while (stopped_at < 0.0 || ride.speed < 0.0) {
    step_ride(tyre, 0.0, ride);
    if (stopped_at < 0.0 && ride.speed <= 0.0) stopped_at = ride.place;
    least = std::min(least, ride.speed);
    if (stopped_at >= 0.0) furthest = std::max(furthest, stopped_at - ride.place);
  }
  EXPECT_NEAR(-least, rebound, 1e-4 * rebound);
  EXPECT_NEAR(furthest, way, 1e-4 * way);
}

TEST(LockedTyre, EnergyOfAStopIsLostOrStored) {
  for (const double damping_time : {0.0, 0.004}) {
    const LockedTyre tyre(damping_time);
    Ride ride{.speed = 5.0};
    const double begin = 0.5 * tyre.mass * 25.0;
    for (int k = 0; k < 150'000; ++k) step_ride(tyre, 0.0, ride);
    const double stored = 0.5 * 240.0 * 0.03 * ride.strain * ride.strain;
    EXPECT_NEAR(begin, 0.5 * tyre.mass * ride.speed * ride.speed + stored + ride.lost,
                kRideError * begin);
  }
}

TEST(LockedTyre, HoldsAPushBelowItsGripForEver) {
  // Pushed by 0.9 of what it holds sliding, it creeps to where spring and push agree, and stays.
  const LockedTyre tyre(0.02);  // Swings die away with k 0.02 s/(2 m) = 35 1/s and faster.
  const double push = 0.9 * tyre.sliding;
  Ride ride{.speed = 0.0};
  for (int k = 0; k < 200'000; ++k) step_ride(tyre, push, ride);
  const double place = ride.place;
  for (int k = 0; k < 100'000; ++k) step_ride(tyre, push, ride);
  EXPECT_NEAR(ride.place, place, 1e-9);
  EXPECT_NEAR(240.0 * ride.strain, -push, 1e-6 * push);
  EXPECT_NEAR(ride.speed, 0.0, 1e-9);
}

TEST(Tyre, ForceNeverPassesItsGripAndNothingGivesWorkOnRandomRides) {
  // Also with the hardest falling curve and with next to no damping. Speeds jump at will.
  Tyre falling = rear_tyre();
  falling.shape = 2.0;
  falling.damping_time = 0.1;
  Tyre undamped = rear_tyre();
  undamped.damping_time = 0.0;
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> share(-1.0, 1.0);
  for (const Tyre& tyre : {rear_tyre(), falling, undamped}) {
    const TyreLaw<double> law = make_tyre_law(tyre);
    const double grip = tyre_friction(law, 12.0) * 12.0;
    for (int ride = 0; ride < 20; ++ride) {
      double strain = 0.0;
      for (int stretch = 0; stretch < 50; ++stretch) {
        const double size = std::pow(10.0, 2.0 * share(random));
        const double tread = size * share(random);
        const double car = stretch % 7 == 0 ? 0.0 : size * share(random);
        for (int k = 0; k < 200; ++k) {
          const Give at = give(law, strain, tread, car);
          EXPECT_LE(std::abs(at.force), grip * (1.0 + kRoundOff));
          const double sliding = tread - car - law.relaxation * at.rate;
          const double round_off = 1e-10 * (grip * size + 1e-12);
          EXPECT_GE(at.force * sliding, -round_off);                               // Patch.
          EXPECT_GE(at.force * law.relaxation * at.rate - at.stored, -round_off);  // Damper.
          // Implicit Euler, which keeps the bound: the rate is linear in the strain.
          const double slope = give(law, strain + 1.0, tread, car).rate - at.rate;
          constexpr double kStep = 1e-4;
          strain += kStep * at.rate / (1.0 - kStep * slope);
        }
      }
    }
  }
}

TEST(Tyre, RefusesValuesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](double Tyre::* field, double value) {
    Tyre tyre = rear_tyre();
    tyre.*field = value;
    EXPECT_THROW(static_cast<void>(make_tyre_law(tyre)), std::invalid_argument);
  };
  for (double Tyre::* const field :
       {&Tyre::radius, &Tyre::wear, &Tyre::growth, &Tyre::friction_peak, &Tyre::load_sensitivity,
        &Tyre::reference_load, &Tyre::stiffness_factor, &Tyre::shape, &Tyre::relaxation,
        &Tyre::damping_time, &Tyre::rolling_resistance, &Tyre::inertia}) {
    refused(field, nan);
    refused(field, -1.0);
  }
  refused(&Tyre::curvature, nan);
  refused(&Tyre::curvature, 1.01);
  refused(&Tyre::wear, 0.0186);  // more than half of .037
  refused(&Tyre::load_sensitivity, 0.31);
  refused(&Tyre::damping_time, 0.11);
  EXPECT_NO_THROW(validate(rear_tyre()));
}

}  // namespace
}  // namespace layshaft
