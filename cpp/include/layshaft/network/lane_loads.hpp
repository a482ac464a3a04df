#pragma once

/// Loads of several plants side by side: plain columns, since Eigen knows no arithmetic on lanes.

#include "layshaft/network/network.hpp"
#include "layshaft/number/columns.hpp"
#include "layshaft/number/lanes.hpp"

namespace layshaft {

template <int Width, int Nodes, int Couplings>
struct Loads<Lanes<Width>, Nodes, Couplings> {
  Column<Lanes<Width>, Nodes> applied;
  Column<Lanes<Width>, Couplings> low;
  Column<Lanes<Width>, Couplings> high;
};

}  // namespace layshaft
