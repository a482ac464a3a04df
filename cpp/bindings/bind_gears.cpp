#include <pybind11/operators.h>
#include <pybind11/pybind11.h>

#include "bindings.hpp"
#include "layshaft/laws/belt.hpp"
#include "layshaft/laws/gear_pair.hpp"

namespace py = pybind11;

namespace layshaft {
namespace {

GearPair make_pair(double spur, double pinion, double module, double pressure_angle,
                   double addendum, double friction) {
  const GearPair pair{.spur = spur,
                      .pinion = pinion,
                      .module = module,
                      .pressure_angle = pressure_angle,
                      .addendum = addendum,
                      .friction = friction,
                      .efficiency = 1.0,
                      .loss = MeshLoss::from_teeth};
  validate(pair);
  return pair;
}

double ratio_of(const GearPair& pair) { return ratio(pair); }

}  // namespace

void bind_gears(py::module_& module) {
  py::class_<GearPair>(module, "GearPair", "Two spur gears that mesh; SI units, checked at once.")
      .def(py::init(&make_pair), py::kw_only(), py::arg("spur"), py::arg("pinion"),
           py::arg("module"), py::arg("pressure_angle"), py::arg("addendum"), py::arg("friction"))
      .def_readonly("spur", &GearPair::spur)
      .def_readonly("pinion", &GearPair::pinion)
      .def_property_readonly("ratio", &ratio_of, "Pinion over spur speed [-].")
      .def_property_readonly("nominal_centre", &nominal_centre, "Without backlash [m].")
      .def_property_readonly("undercut_limit", &undercut_limit, "Fewest teeth [-].")
      .def_property_readonly("mesh_efficiency", &mesh_efficiency, "Power out over in [-].")
      .def(py::self == py::self);
  py::class_<CentreRange>(module, "CentreRange", "Centre distances [m], lowest to highest.")
      .def_readonly("lowest", &CentreRange::lowest)
      .def_readonly("highest", &CentreRange::highest)
      .def_property_readonly("is_empty", &is_empty);
  module.def("shared_centres", &shared_centres, py::arg("first"), py::arg("second"),
             py::arg("least"), py::arg("most"),
             "Centre distances at which both pairs have a backlash [m] from least to most.");
  module.def("backlash", &backlash, py::arg("pair"), py::arg("centre"),
             "Play along the working pitch circle at a centre distance [m].");
  module.def(
      "contact_ratio",
      [](const GearPair& pair, double centre) { return tooth_contact(pair, centre).contact_ratio; },
      py::arg("pair"), py::arg("centre"), "Mean number of teeth in contact at a centre distance.");
  module.def("front_lead", &front_lead, py::arg("front_radius"), py::arg("front_ratio"),
             py::arg("rear_radius"), py::arg("rear_ratio"),
             "Tread speed of the front over the rear axle, less 1 [-]; above 0 the front pulls.");
}

}  // namespace layshaft
