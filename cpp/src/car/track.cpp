#include "layshaft/car/track.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

constexpr double kCornerStep = 0.05;  // Between looks at the curvature [m].

void validate(const TrackPiece& piece, std::size_t number) {
  const std::string owner = "Track.pieces[" + std::to_string(number) + "]";
  const auto check = [&owner](bool good, const char* field, double value, const char* bound) {
    require(good, owner, field, value, bound);
  };
  check(piece.length > 1e-6 && piece.length < 1e5, "length", piece.length, "> 1e-6 and < 1e5 m");
  check(piece.grip >= 0.1 && piece.grip <= 2.0, "grip", piece.grip, "from 0.1 to 2");
  check(piece.grade >= -0.5 && piece.grade <= 0.5, "grade", piece.grade, "from -0.5 to 0.5");
  for (int k = 0; k <= 4; ++k) {
    const double curvature = piece_curvature(piece.curvature, 0.25 * k * piece.length);
    check(std::abs(curvature) <= 2.0, "curvature", curvature, "from -2 to 2 1/m");
  }
}

}  // namespace

Track::Track(std::vector<TrackPiece> pieces) : pieces_(std::move(pieces)) {
  require(!pieces_.empty() && pieces_.size() < 10'000, "Track", "pieces",
          static_cast<double>(pieces_.size()), "1 to 9999");
  double end = 0.0;
  for (const TrackPiece& piece : pieces_) {
    validate(piece, ends_.size());
    end += piece.length;
    ends_.push_back(end);
  }
}

double Track::on_lap(double distance) const {
  const double along = distance - length() * std::floor(distance / length());
  return std::clamp(along, 0.0, length());
}

std::size_t Track::piece_at(double distance) const {
  const auto found = std::upper_bound(ends_.begin(), ends_.end(), on_lap(distance));
  return std::min(static_cast<std::size_t>(found - ends_.begin()), pieces_.size() - 1);
}

double Track::curvature_at(double distance) const {
  const std::size_t piece = piece_at(distance);
  return piece_curvature(pieces_[piece].curvature, on_lap(distance) - begin(piece));
}

std::vector<Corner> Track::corners(double least) const {
  const auto side = [&](double distance) {
    const double curvature = curvature_at(distance);
    return curvature > least ? 1 : (curvature < -least ? -1 : 0);
  };
  const auto count = static_cast<std::size_t>(std::ceil(length() / kCornerStep));
  const double step = length() / static_cast<double>(count);
  std::vector<Corner> corners;
  int before = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const double distance = (static_cast<double>(k) + 0.5) * step;
    const int now = side(distance);
    if (now != before && now != 0) corners.push_back({distance - 0.5 * step, length()});
    if (now != before && before != 0) {
      corners[corners.size() - (now != 0 ? 2 : 1)].end = distance - 0.5 * step;
    }
    before = now;
  }
  // One that lies across the line began before it.
  const bool across = corners.size() > 1 && corners.front().begin == 0.0 &&
                      corners.back().end == length() &&
                      side(0.5 * step) == side(length() - 0.5 * step);
  if (across) {
    corners.back().end += corners.front().end;
    corners.erase(corners.begin());
  }
  return corners;
}

}  // namespace layshaft
