#include "layshaft/laws/tyre.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
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
                            Seen::kDerived};
  check_published(published, 1.0, magic_formula(factors, at_peak) / 7.0, kRoundOff);
  EXPECT_LT(magic_formula(factors, at_peak - 0.01), 7.0);
  EXPECT_LT(magic_formula(factors, at_peak + 0.01), 7.0);
}

TEST(Tyre, FormulaStartsWithSlopeBCD) {
  const MagicFormula<double> factors{
      .stiffness = 10.0, .shape = 1.5, .peak = 7.0, .curvature = 0.3};
  constexpr double kSlip = 1e-6;
  const Published published{"Y3", "slope at zero slip over BCD [-]",
                            "Pacejka, Tyre and Vehicle Dynamics, ch. 4", Seen::kDerived};
  // truncation: relative (B s)^2 = 1e-10 at this slip
  check_published(published, 1.0, magic_formula(factors, kSlip) / (105.0 * kSlip), 2e-10);
}

TEST(Tyre, FormulaEndsAtItsAsymptote) {
  const MagicFormula<double> factors{
      .stiffness = 10.0, .shape = 1.5, .peak = 7.0, .curvature = 0.3};
  const Published published{"Y3", "force at endless slip over D [-]",
                            "Pacejka, Tyre and Vehicle Dynamics, ch. 4", Seen::kDerived};
  // atan(x) = pi/2 - 1/x: at B s (1 - E) = 7e9 the rest is 1e-10
  check_published(published, std::sin(kPi * 1.5 / 2.0), magic_formula(factors, 1e9) / 7.0, 3e-10);
}

TEST(Tyre, PublishedLoadFitGivesThePublishedPeaks) {
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
    double peak;        // [N]
    double common_fit;  // a1 Fz^2 + a2 Fz by hand [N]
  };
  for (const Row& row :
       {Row{2, 2193, 2202.8}, Row{4, 4236, 4235.2}, Row{6, 6090, 6097.2}, Row{8, 7711, 7788.8}}) {
    const Published published{"Y2", "peak at " + std::to_string(row.load) + " kN [N]",
                              "Bakker, Nyborg and Pacejka, SAE 870421", Seen::kFromMemory};
    // The published peaks belong to separate fits at each load: within 1 % of the common one.
    const MagicFormula<double> factors = magic_formula_at(fit, row.load);
    check_published(published, row.peak, factors.peak, 0.01 * row.common_fit);
    EXPECT_NEAR(factors.peak, row.common_fit, kRoundOff * row.common_fit);
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
                            "Pacejka, Tyre and Vehicle Dynamics, ch. 3", Seen::kFromMemory};
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

/// Slip rate, force and powers of the rear tyre at 12 N.
struct Give {
  double rate, force, stored;
};
Give give(const TyreLaw<double>& law, double slip, double tread, double car) {
  const double share = sticking_share(law, slip, 12.0);
  const double rate = tyre_slip_rate(law, slip, share, tread, car);
  return {rate, tyre_force_now(law, slip, rate, share, 12.0),
          stored_power(law, slip, rate, share, 12.0)};
}

TEST(Tyre, SteadySlipIsTwiceDifferenceOverSum) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  struct Row {
    double tread;
    double car;
    double slip;
  };
  for (const Row& row : {Row{11, 10, 2.0 / 21}, Row{9, 10, -2.0 / 19}, Row{5, 0, 2}, Row{0, 5, -2},
                         Row{-11, -10, -2.0 / 21}}) {
    EXPECT_NEAR(give(law, row.slip, row.tread, row.car).rate, 0.0, 1e-12);
    EXPECT_GT(give(law, row.slip - 0.1, row.tread, row.car).rate, 0.0);
    EXPECT_LT(give(law, row.slip + 0.1, row.tread, row.car).rate, 0.0);
  }
}

TEST(Tyre, SlipEqualsTheTextbookSlipToFirstOrder) {
  // kappa = (tread - car)/car; slip = kappa/(1 + kappa/2)
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  for (const double kappa : {-0.1, -0.01, 0.01, 0.1}) {
    const double slip = kappa / (1.0 + 0.5 * kappa);
    EXPECT_NEAR(give(law, slip, 10.0 * (1.0 + kappa), 10.0).rate, 0.0, 1e-12);
    EXPECT_LT(std::abs(slip - kappa), 0.6 * kappa * kappa);
  }
}

TEST(Tyre, AtStandstillTheSlipIsHeldLikeASpring) {
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  EXPECT_EQ(give(law, 0.05, 0.0, 0.0).rate, 0.0);
  // A tread creeping at 3 mm/s winds the tyre up by nearly 0.003/0.03 = 0.1 a second.
  EXPECT_NEAR(give(law, 0.0, 0.003, 0.0).rate, 0.003 / (0.03 + 0.004 * 0.0015), kRoundOff);
}

TEST(Tyre, SlipSettlesWithinTheRelaxationLength) {
  // d(slip)/dx = (s_end - slip)/length at constant speeds: slope by hand at 10 m/s
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  const double steady = 2.0 / 21.0;
  const double share = sticking_share(law, 0.5 * steady, 12.0);
  const double length = 0.03 + 0.004 * share * 10.5;
  EXPECT_NEAR(give(law, 0.5 * steady, 11.0, 10.0).rate, 0.5 * steady * 10.5 / length, 1e-12);
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

TEST(Tyre, SteadyForceDoesNotDependOnTheDamping) {
  Tyre tyre = rear_tyre();
  for (const double damping_time : {0.0, 0.004, 0.1}) {
    tyre.damping_time = damping_time;
    const TyreLaw<double> law = make_tyre_law(tyre);
    const double steady = tyre_force(law, 2.0 / 21.0, 12.0);
    EXPECT_NEAR(give(law, 2.0 / 21.0, 11.0, 10.0).force, steady, kRoundOff * 240.0);
  }
}

TEST(Tyre, AtStandstillTheForceIsThatOfASpringWithADamper) {
  // At a small slip: stiffness_factor load (u + damping_time du/dt)/relaxation, u the winding [m].
  const TyreLaw<double> law = make_tyre_law(rear_tyre());
  constexpr double kWinding = 1e-7;
  constexpr double kSpeed = 3e-5;
  const double expected = 20.0 * 12.0 * (kWinding + 0.004 * kSpeed) / 0.03;
  // The speed renews the patch by its own share of the winding: 1e-6 of it.
  EXPECT_NEAR(give(law, kWinding / 0.03, kSpeed, 0.0).force, expected, 1e-5 * expected);
}

TEST(Tyre, CarcassAndRoadTakeWorkAndNeverGiveIt) {
  // Also past the peak, and with the hardest falling curve.
  Tyre falling = rear_tyre();
  falling.shape = 2.0;
  falling.damping_time = 0.1;
  for (const Tyre& tyre : {rear_tyre(), falling}) {
    const TyreLaw<double> law = make_tyre_law(tyre);
    for (const double slip : {-1.9, -0.4, -0.05, -0.01, 0.0, 0.02, 0.13, 0.6, 2.0}) {
      for (const double tread : {-30.0, -3.0, 0.0, 0.1, 9.5, 10.0, 10.6, 40.0}) {
        for (const double car : {-2.0, 0.0, 0.05, 10.0}) {
          const Give at = give(law, slip, tread, car);
          const double sliding = tread - car - law.relaxation * at.rate;
          const double road = at.force * sliding;
          const double carcass = at.force * law.relaxation * at.rate - at.stored;
          const double round_off = kRoundOff * 240.0 * 2.0 * 40.0;
          EXPECT_GE(road, -round_off);
          EXPECT_GE(carcass, -round_off);
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
  refused(&Tyre::wear, 0.037);
  refused(&Tyre::load_sensitivity, 0.31);
  refused(&Tyre::damping_time, 0.11);
  EXPECT_NO_THROW(validate(rear_tyre()));
}

}  // namespace
}  // namespace layshaft
