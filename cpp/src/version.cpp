#include "layshaft/version.hpp"

namespace layshaft {

// LAYSHAFT_VERSION is defined by the build for this file alone, from pyproject.toml.
std::string_view version() { return LAYSHAFT_VERSION; }

}  // namespace layshaft
