#pragma once

/// The version of the library, as a program linked with it finds it at run time.

#include <string_view>

namespace layshaft {

/// Version as `major.minor.patch`; the same text as the Python package's `__version__`.
[[nodiscard]] std::string_view version();

}  // namespace layshaft
