#include "rival.hpp"

#include <stdexcept>

#include "one_step.hpp"
#include "sundials.hpp"

namespace layshaft::bench {

std::unique_ptr<Rival> make_rival(std::size_t which, const AnyCourse& course, Work work) {
  const std::string_view name = kRivals.at(which);
  const auto only_raw = [work, name] {
    if (work == Work::same) throw std::invalid_argument(std::string(name) + " does raw work only");
  };
  const auto cvode = [&](Cvode::Kind kind) { return std::make_unique<Cvode>(course, kind, work); };
  const auto hairer = [&](Hairer::Kind kind) {
    return std::make_unique<Hairer>(course, kind, work);
  };
  if (name == "cvode_bdf") return cvode(Cvode::Kind::bdf);
  if (name == "cvode_tuned") return cvode(Cvode::Kind::tuned);
  if (name == "cvode_adams") return cvode(Cvode::Kind::adams);
  if (name == "dopri5") return hairer(Hairer::Kind::dopri5);
  if (name == "rodas") return hairer(Hairer::Kind::rodas);
  if (name == "hairer_rodas4p") return hairer(Hairer::Kind::rodas4p);
  only_raw();
  if (name == "esdirk") return std::make_unique<Arkode>(course, Arkode::Kind::esdirk);
  if (name == "sofroniou") return std::make_unique<Arkode>(course, Arkode::Kind::sofroniou);
  if (name == "tsitouras") return std::make_unique<Arkode>(course, Arkode::Kind::tsitouras);
  return std::make_unique<Gsl>(course,
                               name == "gsl_rkck" ? gsl_odeiv2_step_rkck : gsl_odeiv2_step_rkf45);
}

}  // namespace layshaft::bench

// The wheel's archives leave these to its Python module; nothing here keeps a table of them.
extern "C" {
#define LAYSHAFT_NO_TABLE(name) \
  void name(void* table) { (void)table; }
LAYSHAFT_NO_TABLE(SUNContextFunctionTable_Destroy)
LAYSHAFT_NO_TABLE(SUNLinearSolverFunctionTable_Destroy)
LAYSHAFT_NO_TABLE(SUNLoggerFunctionTable_Destroy)
LAYSHAFT_NO_TABLE(SUNNonlinearSolverFunctionTable_Destroy)
LAYSHAFT_NO_TABLE(SUNStepperFunctionTable_Destroy)
LAYSHAFT_NO_TABLE(arkode_user_supplied_fn_table_destroy)
LAYSHAFT_NO_TABLE(cvode_user_supplied_fn_table_destroy)
LAYSHAFT_NO_TABLE(mristepinnerstepper_user_supplied_fn_table_destroy)
}
