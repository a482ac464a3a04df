/// The car as a co-simulation unit of FMI 2.0.

#include <exception>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>

#include "fmi2_types.hpp"
#include "unit.hpp"

#define LAYSHAFT_FMI2 extern "C" __attribute__((visibility("default")))

namespace {

using layshaft::fmi::Access;
using layshaft::fmi::Phase;
using layshaft::fmi::Unit;

// Only what the unit needs of the caller's functions is kept.
struct Instance {
  Unit unit;
  std::string name;
  fmi2CallbackFunctions callbacks;
  double start_time = 0.0;
  std::optional<double> stop_time{};
  std::optional<double> tolerance{};
  bool stopped = false;
};

void tell(const fmi2CallbackFunctions& callbacks, const std::string& name, fmi2Status status,
          std::string message) {
  if (callbacks.logger == nullptr) return;
  // The message is a format.
  for (std::size_t i = message.find('%'); i != std::string::npos; i = message.find('%', i + 2)) {
    message.insert(i, 1, '%');
  }
  const char* category = status == fmi2Discard ? "logStatusDiscard" : "logStatusError";
  callbacks.logger(callbacks.componentEnvironment, name.c_str(), status, category, message.c_str());
}

// Nothing thrown passes the border.
template <class Work>
fmi2Status guarded(fmi2Component component, Work work) noexcept {
  auto* instance = static_cast<Instance*>(component);
  if (instance == nullptr) return fmi2Error;
  try {
    return work(*instance);
  } catch (const std::exception& failed) {
    tell(instance->callbacks, instance->name, fmi2Error, layshaft::without_owner(failed.what()));
  } catch (...) {
  }
  return fmi2Error;
}

template <class Value>
fmi2Status get_all(fmi2Component component, const fmi2ValueReference* references, std::size_t count,
                   Value* values, Access access) {
  return guarded(component, [&](Instance& instance) {
    layshaft::fmi::get_all(instance.unit, references, count, access, values);
    return fmi2OK;
  });
}

template <class Value>
fmi2Status set_all(fmi2Component component, const fmi2ValueReference* references, std::size_t count,
                   const Value* values, Access access) {
  return guarded(component, [&](Instance& instance) {
    layshaft::fmi::set_all(instance.unit, references, count, access, values);
    return fmi2OK;
  });
}

fmi2Status not_offered(fmi2Component component, const char* what) {
  return guarded(component, [&](Instance& instance) {
    tell(instance.callbacks, instance.name, fmi2Error, std::string(what) + " is not offered");
    return fmi2Error;
  });
}

}  // namespace

LAYSHAFT_FMI2 const char* fmi2GetTypesPlatform(void) { return "default"; }
LAYSHAFT_FMI2 const char* fmi2GetVersion(void) { return "2.0"; }
LAYSHAFT_FMI2 fmi2Status fmi2SetDebugLogging(fmi2Component, fmi2Boolean, size_t,
                                             const fmi2String[]) {
  return fmi2OK;  // Only errors are told, and always.
}

LAYSHAFT_FMI2 fmi2Component fmi2Instantiate(fmi2String name, fmi2Type type, fmi2String token,
                                            fmi2String resources,
                                            const fmi2CallbackFunctions* functions, fmi2Boolean,
                                            fmi2Boolean) {
  const fmi2CallbackFunctions callbacks =
      functions == nullptr ? fmi2CallbackFunctions{} : *functions;
  const std::string known_name = name == nullptr ? "" : name;
  try {
    if (type != fmi2CoSimulation || token == nullptr || resources == nullptr) {
      throw std::invalid_argument("co-simulation with a token and resources is needed");
    }
    Unit unit(layshaft::fmi::path_of_address(resources), token);
    return std::unique_ptr<Instance>(new Instance{std::move(unit), known_name, callbacks})
        .release();
  } catch (const std::exception& failed) {
    tell(callbacks, known_name, fmi2Error, layshaft::without_owner(failed.what()));
    return nullptr;
  }
}

LAYSHAFT_FMI2 void fmi2FreeInstance(fmi2Component component) {
  std::default_delete<Instance>()(static_cast<Instance*>(component));
}

LAYSHAFT_FMI2 fmi2Status fmi2SetupExperiment(fmi2Component component, fmi2Boolean has_tolerance,
                                             fmi2Real tolerance, fmi2Real start_time,
                                             fmi2Boolean has_stop_time, fmi2Real stop_time) {
  return guarded(component, [&](Instance& instance) {
    instance.unit.require_phase(Phase::instantiated, "setting up the experiment");
    instance.start_time = start_time;
    instance.stop_time = has_stop_time != 0 ? std::optional(stop_time) : std::nullopt;
    instance.tolerance = has_tolerance != 0 ? std::optional(tolerance) : std::nullopt;
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2EnterInitializationMode(fmi2Component component) {
  return guarded(component, [](Instance& instance) {
    instance.unit.enter_initialisation(instance.start_time, instance.stop_time, instance.tolerance);
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2ExitInitializationMode(fmi2Component component) {
  return guarded(component, [](Instance& instance) {
    instance.unit.exit_initialisation(false);
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2Terminate(fmi2Component component) {
  return guarded(component, [](Instance& instance) {
    instance.unit.terminate();
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2Reset(fmi2Component component) {
  return guarded(component, [](Instance& instance) {
    instance.unit.reset();
    instance.start_time = 0.0;
    instance.stop_time.reset();
    instance.tolerance.reset();
    instance.stopped = false;
    return fmi2OK;
  });
}

LAYSHAFT_FMI2 fmi2Status fmi2GetReal(fmi2Component component, const fmi2ValueReference references[],
                                     size_t count, fmi2Real values[]) {
  return get_all(component, references, count, values, Access::real);
}
LAYSHAFT_FMI2 fmi2Status fmi2GetInteger(fmi2Component component,
                                        const fmi2ValueReference references[], size_t count,
                                        fmi2Integer values[]) {
  return get_all(component, references, count, values, Access::whole);
}
LAYSHAFT_FMI2 fmi2Status fmi2GetBoolean(fmi2Component component,
                                        const fmi2ValueReference references[], size_t count,
                                        fmi2Boolean values[]) {
  return get_all(component, references, count, values, Access::yes_no);
}
LAYSHAFT_FMI2 fmi2Status fmi2GetString(fmi2Component component, const fmi2ValueReference[],
                                       size_t count, fmi2String[]) {
  return count == 0 ? fmi2OK : not_offered(component, "a text variable");
}
LAYSHAFT_FMI2 fmi2Status fmi2SetReal(fmi2Component component, const fmi2ValueReference references[],
                                     size_t count, const fmi2Real values[]) {
  return set_all(component, references, count, values, Access::real);
}
LAYSHAFT_FMI2 fmi2Status fmi2SetInteger(fmi2Component component,
                                        const fmi2ValueReference references[], size_t count,
                                        const fmi2Integer values[]) {
  return set_all(component, references, count, values, Access::whole);
}
LAYSHAFT_FMI2 fmi2Status fmi2SetBoolean(fmi2Component component,
                                        const fmi2ValueReference references[], size_t count,
                                        const fmi2Boolean values[]) {
  return set_all(component, references, count, values, Access::yes_no);
}
LAYSHAFT_FMI2 fmi2Status fmi2SetString(fmi2Component component, const fmi2ValueReference[],
                                       size_t count, const fmi2String[]) {
  return count == 0 ? fmi2OK : not_offered(component, "a text variable");
}

LAYSHAFT_FMI2 fmi2Status fmi2GetFMUstate(fmi2Component component, fmi2FMUstate* state) {
  return guarded(component, [&](Instance& instance) {
    keep_state(instance.unit, state);
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2SetFMUstate(fmi2Component component, fmi2FMUstate state) {
  return guarded(component, [&](Instance& instance) {
    restore_state(instance.unit, state);
    instance.stopped = false;
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2FreeFMUstate(fmi2Component component, fmi2FMUstate* state) {
  return guarded(component, [&](Instance&) {
    layshaft::fmi::free_state(state);
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2SerializedFMUstateSize(fmi2Component component, fmi2FMUstate state,
                                                    size_t* size) {
  return guarded(component, [&](Instance&) {
    layshaft::fmi::count_state_bytes(state, size);
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2SerializeFMUstate(fmi2Component component, fmi2FMUstate state,
                                               fmi2Byte bytes[], size_t size) {
  return guarded(component, [&](Instance&) {
    layshaft::fmi::write_state(state, bytes, size);
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2DeSerializeFMUstate(fmi2Component component, const fmi2Byte bytes[],
                                                 size_t size, fmi2FMUstate* state) {
  return guarded(component, [&](Instance&) {
    layshaft::fmi::read_state(bytes, size, state);
    return fmi2OK;
  });
}

LAYSHAFT_FMI2 fmi2Status fmi2GetDirectionalDerivative(fmi2Component component,
                                                      const fmi2ValueReference[], size_t,
                                                      const fmi2ValueReference[], size_t,
                                                      const fmi2Real[], fmi2Real[]) {
  return not_offered(component, "a directional derivative");
}
LAYSHAFT_FMI2 fmi2Status fmi2SetRealInputDerivatives(fmi2Component component,
                                                     const fmi2ValueReference[], size_t,
                                                     const fmi2Integer[], const fmi2Real[]) {
  return not_offered(component, "a derivative of an input");
}
LAYSHAFT_FMI2 fmi2Status fmi2GetRealOutputDerivatives(fmi2Component component,
                                                      const fmi2ValueReference[], size_t,
                                                      const fmi2Integer[], fmi2Real[]) {
  return not_offered(component, "a derivative of an output");
}

LAYSHAFT_FMI2 fmi2Status fmi2DoStep(fmi2Component component, fmi2Real time, fmi2Real step,
                                    fmi2Boolean) {
  return guarded(component, [&](Instance& instance) {
    try {
      instance.unit.step(time, step, false);
      return fmi2OK;
    } catch (const std::runtime_error& stopped) {
      instance.stopped = true;
      tell(instance.callbacks, instance.name, fmi2Discard, stopped.what());
      return fmi2Discard;
    }
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2CancelStep(fmi2Component component) {
  return not_offered(component, "a step in the background");
}

LAYSHAFT_FMI2 fmi2Status fmi2GetStatus(fmi2Component component, const fmi2StatusKind, fmi2Status*) {
  return not_offered(component, "a step in the background");
}
LAYSHAFT_FMI2 fmi2Status fmi2GetRealStatus(fmi2Component component, const fmi2StatusKind kind,
                                           fmi2Real* value) {
  return guarded(component, [&](Instance& instance) {
    if (kind != fmi2LastSuccessfulTime) return fmi2Discard;
    layshaft::fmi::require_pointer(value, "value");
    *value = instance.unit.time();
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2GetIntegerStatus(fmi2Component, const fmi2StatusKind, fmi2Integer*) {
  return fmi2Discard;
}
LAYSHAFT_FMI2 fmi2Status fmi2GetBooleanStatus(fmi2Component component, const fmi2StatusKind kind,
                                              fmi2Boolean* value) {
  return guarded(component, [&](Instance& instance) {
    if (kind != fmi2Terminated) return fmi2Discard;
    layshaft::fmi::require_pointer(value, "value");
    *value = instance.stopped ? 1 : 0;
    return fmi2OK;
  });
}
LAYSHAFT_FMI2 fmi2Status fmi2GetStringStatus(fmi2Component, const fmi2StatusKind, fmi2String*) {
  return fmi2Discard;
}
