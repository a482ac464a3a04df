#pragma once

/// Checks against values printed outside this project, kept so that a table can be made of them.
///
/// `check_published` asserts like EXPECT_NEAR and records the row in the test's XML report
/// (RecordProperty), from which `tests/check_table.py` makes `tests/published-checks.md`. The two
/// others record printed values that are no check of this library, so that none is passed over.

#include <gtest/gtest.h>

#include <cmath>
#include <iomanip>
#include <sstream>
#include <string>

namespace layshaft::testing {

/// How sure the expected value is.
enum class Seen {
  kPrinted,     ///< Printed value seen in the source or a page that reproduces it.
  kCompanion,   ///< Output of a companion script of that numbered example.
  kFromMemory,  ///< Recalled; the book was not opened.
  kDerived,     ///< Exact closed form or an independent numerical result; nothing printed.
};

[[nodiscard]] inline const char* to_string(Seen seen) {
  switch (seen) {
    case Seen::kPrinted: return "printed";
    case Seen::kCompanion: return "companion script";
    case Seen::kFromMemory: return "from memory";
    case Seen::kDerived: return "derived";
  }
  return "unknown";
}

/// Where a published value comes from.
struct Published {
  std::string id;        ///< Short identifier of the check, such as "C2".
  std::string quantity;  ///< What is compared, with its unit: "power [kW]".
  std::string source;    ///< Book, edition, example.
  Seen seen;             ///< How sure the expected value is.
  /// What in the library computed the value, by its names in the headers, and after a semicolon
  /// what the test did to that: "carried_force; times speed".
  std::string law;
};

/// Expects |computed - expected| <= tolerance and records the row. `expected` and `tolerance` are
/// in the unit named by `published.quantity`; the tolerance is half of the last printed digit, or
/// the round-off bound where the exact value is known.
inline void check_published(const Published& published, double expected, double computed,
                            double tolerance) {
  EXPECT_NEAR(computed, expected, tolerance)
      << published.id << ", " << published.quantity << ", " << published.source;
  std::ostringstream row;
  row << std::setprecision(12) << published.source << '|' << to_string(published.seen) << '|'
      << published.law << '|' << expected << '|' << computed << '|' << tolerance;
  ::testing::Test::RecordProperty("check|" + published.id + "|" + published.quantity, row.str());
}

/// Records a printed value that the library misses by more than `digits`, what the printed digits
/// of source and given values leave open, and why. Expects it missed, so that a row that comes to
/// be met is not left among these.
inline void record_not_met(const Published& published, double printed, double computed,
                           double digits, const std::string& why) {
  EXPECT_GT(std::abs(computed - printed), digits) << published.id << ", " << published.quantity;
  std::ostringstream row;
  row << std::setprecision(12) << published.source << '|' << to_string(published.seen) << '|'
      << published.law << '|' << printed << '|' << computed << '|' << digits << '|' << why;
  ::testing::Test::RecordProperty("missed|" + published.id + "|" + published.quantity, row.str());
}

/// A printed value that no function of the library computes.
struct LeftOut {
  std::string id;        ///< Short identifier of the check.
  std::string quantity;  ///< What is printed, with its unit.
  std::string source;    ///< Book, edition, example.
  std::string printed;   ///< Value as printed.
  std::string why;       ///< Why the library has no value to set beside it.
};

inline void record_left_out(const LeftOut& left) {
  ::testing::Test::RecordProperty("left|" + left.id + "|" + left.quantity,
                                  left.source + '|' + left.printed + '|' + left.why);
}

}  // namespace layshaft::testing
