/// The car as a co-simulation unit of FMI 3.0, with event mode and early return.

#include <exception>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>

#include "fmi3_types.hpp"
#include "unit.hpp"

namespace {

using layshaft::fmi::Access;
using layshaft::fmi::Phase;
using layshaft::fmi::StepOutcome;
using layshaft::fmi::Unit;

struct Logger {
  fmi3InstanceEnvironment environment;
  fmi3LogMessageCallback log;

  void tell(fmi3Status status, const char* message) const {
    const char* category = status == fmi3Discard ? "discard" : "error";
    if (log != nullptr) log(environment, status, category, message);
  }
};

struct Instance {
  Unit unit;
  Logger logger;
  bool event_mode;
  bool early_return;
};

// Nothing thrown passes the border.
template <class Work>
fmi3Status guarded(fmi3Instance handle, Work work) noexcept {
  auto* instance = static_cast<Instance*>(handle);
  if (instance == nullptr) return fmi3Error;
  try {
    return work(*instance);
  } catch (const std::exception& failed) {
    instance->logger.tell(fmi3Error, layshaft::without_owner(failed.what()));
  } catch (...) {
  }
  return fmi3Error;
}

template <class Value>
fmi3Status get_all(fmi3Instance handle, const fmi3ValueReference* references, std::size_t count,
                   Value* values, std::size_t value_count, Access access) {
  return guarded(handle, [&](Instance& instance) {
    if (value_count != count) throw std::invalid_argument("one value for each reference is needed");
    layshaft::fmi::get_all(instance.unit, references, count, access, values);
    return fmi3OK;
  });
}

template <class Value>
fmi3Status set_all(fmi3Instance handle, const fmi3ValueReference* references, std::size_t count,
                   const Value* values, std::size_t value_count, Access access) {
  return guarded(handle, [&](Instance& instance) {
    if (value_count != count) throw std::invalid_argument("one value for each reference is needed");
    layshaft::fmi::set_all(instance.unit, references, count, access, values);
    return fmi3OK;
  });
}

}  // namespace

LAYSHAFT_FMI3 const char* fmi3GetVersion(void) { return "3.0"; }
LAYSHAFT_FMI3 fmi3Status fmi3SetDebugLogging(fmi3Instance, fmi3Boolean, size_t,
                                             const fmi3String[]) {
  return fmi3OK;  // Only errors are told, and always.
}

LAYSHAFT_FMI3 fmi3Instance
fmi3InstantiateCoSimulation(fmi3String, fmi3String token, fmi3String resources, fmi3Boolean,
                            fmi3Boolean, fmi3Boolean event_mode, fmi3Boolean early_return,
                            const fmi3ValueReference[], size_t, fmi3InstanceEnvironment environment,
                            fmi3LogMessageCallback log, fmi3IntermediateUpdateCallback) {
  const Logger logger{environment, log};
  try {
    if (token == nullptr || resources == nullptr) {
      throw std::invalid_argument("a token and the path of the resources are needed");
    }
    Unit unit(layshaft::fmi::path_of_address(resources), token);
    return std::unique_ptr<Instance>(
               new Instance{std::move(unit), logger, event_mode, early_return})
        .release();
  } catch (const std::exception& failed) {
    logger.tell(fmi3Error, layshaft::without_owner(failed.what()));
    return nullptr;
  }
}
LAYSHAFT_FMI3 void fmi3FreeInstance(fmi3Instance handle) {
  std::default_delete<Instance>()(static_cast<Instance*>(handle));
}

LAYSHAFT_FMI3 fmi3Status fmi3EnterInitializationMode(fmi3Instance handle, fmi3Boolean has_tolerance,
                                                     fmi3Float64 tolerance, fmi3Float64 start_time,
                                                     fmi3Boolean has_stop_time,
                                                     fmi3Float64 stop_time) {
  return guarded(handle, [&](Instance& instance) {
    instance.unit.enter_initialisation(start_time,
                                       has_stop_time ? std::optional(stop_time) : std::nullopt,
                                       has_tolerance ? std::optional(tolerance) : std::nullopt);
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3ExitInitializationMode(fmi3Instance handle) {
  return guarded(handle, [](Instance& instance) {
    instance.unit.exit_initialisation(instance.event_mode);
    return fmi3OK;
  });
}

LAYSHAFT_FMI3 fmi3Status fmi3EnterEventMode(fmi3Instance handle) {
  return guarded(handle, [](Instance& instance) {
    if (!instance.event_mode) throw std::invalid_argument("event mode was not asked for");
    instance.unit.enter_events();
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3EnterStepMode(fmi3Instance handle) {
  return guarded(handle, [](Instance& instance) {
    instance.unit.enter_stepping();
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3Terminate(fmi3Instance handle) {
  return guarded(handle, [](Instance& instance) {
    instance.unit.terminate();
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3Reset(fmi3Instance handle) {
  return guarded(handle, [](Instance& instance) {
    instance.unit.reset();
    return fmi3OK;
  });
}

LAYSHAFT_FMI3 fmi3Status fmi3GetFloat64(fmi3Instance handle, const fmi3ValueReference references[],
                                        size_t count, fmi3Float64 values[], size_t value_count) {
  return get_all(handle, references, count, values, value_count, Access::real);
}
LAYSHAFT_FMI3 fmi3Status fmi3SetFloat64(fmi3Instance handle, const fmi3ValueReference references[],
                                        size_t count, const fmi3Float64 values[],
                                        size_t value_count) {
  return set_all(handle, references, count, values, value_count, Access::real);
}
LAYSHAFT_FMI3 fmi3Status fmi3GetInt32(fmi3Instance handle, const fmi3ValueReference references[],
                                      size_t count, fmi3Int32 values[], size_t value_count) {
  return get_all(handle, references, count, values, value_count, Access::whole);
}
LAYSHAFT_FMI3 fmi3Status fmi3SetInt32(fmi3Instance handle, const fmi3ValueReference references[],
                                      size_t count, const fmi3Int32 values[], size_t value_count) {
  return set_all(handle, references, count, values, value_count, Access::whole);
}
LAYSHAFT_FMI3 fmi3Status fmi3GetInt64(fmi3Instance handle, const fmi3ValueReference references[],
                                      size_t count, fmi3Int64 values[], size_t value_count) {
  return get_all(handle, references, count, values, value_count, Access::choice);
}
LAYSHAFT_FMI3 fmi3Status fmi3SetInt64(fmi3Instance handle, const fmi3ValueReference references[],
                                      size_t count, const fmi3Int64 values[], size_t value_count) {
  return set_all(handle, references, count, values, value_count, Access::choice);
}
LAYSHAFT_FMI3 fmi3Status fmi3GetBoolean(fmi3Instance handle, const fmi3ValueReference references[],
                                        size_t count, fmi3Boolean values[], size_t value_count) {
  return get_all(handle, references, count, values, value_count, Access::yes_no);
}
LAYSHAFT_FMI3 fmi3Status fmi3SetBoolean(fmi3Instance handle, const fmi3ValueReference references[],
                                        size_t count, const fmi3Boolean values[],
                                        size_t value_count) {
  return set_all(handle, references, count, values, value_count, Access::yes_no);
}

LAYSHAFT_FMI3 fmi3Status fmi3GetFMUState(fmi3Instance handle, fmi3FMUState* state) {
  return guarded(handle, [&](Instance& instance) {
    keep_state(instance.unit, state);
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3SetFMUState(fmi3Instance handle, fmi3FMUState state) {
  return guarded(handle, [&](Instance& instance) {
    restore_state(instance.unit, state);
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3FreeFMUState(fmi3Instance handle, fmi3FMUState* state) {
  return guarded(handle, [&](Instance&) {
    layshaft::fmi::free_state(state);
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3SerializedFMUStateSize(fmi3Instance handle, fmi3FMUState state,
                                                    size_t* size) {
  return guarded(handle, [&](Instance&) {
    layshaft::fmi::count_state_bytes(state, size);
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3SerializeFMUState(fmi3Instance handle, fmi3FMUState state,
                                               fmi3Byte bytes[], size_t size) {
  return guarded(handle, [&](Instance&) {
    layshaft::fmi::write_state(state, bytes, size);
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3DeserializeFMUState(fmi3Instance handle, const fmi3Byte bytes[],
                                                 size_t size, fmi3FMUState* state) {
  return guarded(handle, [&](Instance&) {
    layshaft::fmi::read_state(bytes, size, state);
    return fmi3OK;
  });
}

LAYSHAFT_FMI3 fmi3Status fmi3DoStep(fmi3Instance handle, fmi3Float64 time, fmi3Float64 step,
                                    fmi3Boolean, fmi3Boolean* event_handling_needed,
                                    fmi3Boolean* terminate, fmi3Boolean* early_return,
                                    fmi3Float64* last_successful_time) {
  return guarded(handle, [&](Instance& instance) {
    for (const void* pointer :
         {static_cast<const void*>(event_handling_needed), static_cast<const void*>(terminate),
          static_cast<const void*>(early_return), static_cast<const void*>(last_successful_time)}) {
      layshaft::fmi::require_pointer(pointer, "an output argument of fmi3DoStep");
    }
    *event_handling_needed = false;
    *terminate = false;
    *early_return = false;
    *last_successful_time = instance.unit.time();
    try {
      const StepOutcome outcome = instance.unit.step(time, step, instance.early_return);
      // A master that has no early return hears at the end of a step that there were events in it.
      *event_handling_needed = instance.event_mode && outcome.changed;
      *early_return = outcome.reached < time + step;
      *last_successful_time = outcome.reached;
      return fmi3OK;
    } catch (const std::runtime_error& stopped) {
      instance.logger.tell(fmi3Discard, stopped.what());
      return fmi3Discard;
    }
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3UpdateDiscreteStates(fmi3Instance handle, fmi3Boolean* need_update,
                                                  fmi3Boolean* terminate,
                                                  fmi3Boolean* nominals_changed,
                                                  fmi3Boolean* values_changed,
                                                  fmi3Boolean* has_next_event,
                                                  fmi3Float64* next_event) {
  // The modes have been changed already where the step stopped.
  return guarded(handle, [&](Instance& instance) {
    instance.unit.require_phase(Phase::events, "updating discrete states");
    for (const void* pointer :
         {static_cast<const void*>(need_update), static_cast<const void*>(terminate),
          static_cast<const void*>(nominals_changed), static_cast<const void*>(values_changed),
          static_cast<const void*>(has_next_event), static_cast<const void*>(next_event)}) {
      layshaft::fmi::require_pointer(pointer, "an output argument of fmi3UpdateDiscreteStates");
    }
    *need_update = false;
    *terminate = false;
    *nominals_changed = false;
    *values_changed = false;
    *has_next_event = false;
    *next_event = 0.0;
    return fmi3OK;
  });
}
LAYSHAFT_FMI3 fmi3Status fmi3EvaluateDiscreteStates(fmi3Instance) { return fmi3OK; }
