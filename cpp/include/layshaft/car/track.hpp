#pragma once

/// A track as the car meets it: curvature, grip and grade over the distance along its driven line.
///
/// A list of pieces, one after the other. Within a piece grip and grade are constant and the
/// curvature is a cubic in the distance from the piece's beginning, so that the car's equation is
/// smooth there; the end of a piece is a switch instant, located. After the last piece the first
/// one follows again. Curvature is positive to the left; the line is given: the car never leaves
/// it.

#include <array>
#include <vector>

#include "layshaft/number/real.hpp"

namespace layshaft {

struct TrackPiece {
  double length;                    ///< [m], > 0.
  std::array<double, 4> curvature;  ///< c0 + c1 x + c2 x^2 + c3 x^3 [1/m], x from the beginning.
  double grip;                      ///< Factor on the friction of the tyres [-], 0.1..2.
  double grade;                     ///< Rise over run [-], -0.5..0.5.
  bool operator==(const TrackPiece&) const = default;
};

/// A stretch of the track that counts as one corner.
struct Corner {
  double begin;  ///< [m]
  double end;    ///< [m]; beyond the length of the lap where the corner lies across the line.
};

class Track {
 public:
  /// Throws std::invalid_argument naming the field, its value and the broken bound.
  explicit Track(std::vector<TrackPiece> pieces);

  [[nodiscard]] const std::vector<TrackPiece>& pieces() const { return pieces_; }
  [[nodiscard]] double length() const { return ends_.back(); }  ///< [m]
  [[nodiscard]] double end(std::size_t piece) const { return ends_[piece]; }
  [[nodiscard]] double begin(std::size_t piece) const {
    return piece == 0 ? 0.0 : ends_[piece - 1];
  }

  /// Piece at a distance [m], which may lie any number of laps on or back.
  [[nodiscard]] std::size_t piece_at(double distance) const;
  [[nodiscard]] double curvature_at(double distance) const;  ///< [1/m]

  /// Where the curvature's size exceeds `least` [1/m] with one sign, in order of their begin.
  [[nodiscard]] std::vector<Corner> corners(double least = kLeastCurvature) const;

  static constexpr double kLeastCurvature = 1.0 / 40.0;  ///< What counts as a corner [1/m].

 private:
  [[nodiscard]] double on_lap(double distance) const;

  std::vector<TrackPiece> pieces_;
  std::vector<double> ends_;
};

/// Curvature [1/m] at a distance from the beginning of a piece [m]; `c` as its `curvature`.
template <class Coefficients, class Real>
[[nodiscard]] Real piece_curvature(const Coefficients& c, const Real& along) {
  return c[0] + along * (c[1] + along * (c[2] + along * c[3]));
}

}  // namespace layshaft
