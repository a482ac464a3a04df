/// The functions of FMI 3.0 that a co-simulation unit without clocks, arrays, texts and derivatives
/// does not offer: they fail.

#include "fmi3_types.hpp"

namespace {

// No variable is of such a type: asking for none of them is all that can be right.
fmi3Status none_of_type(std::size_t count) { return count == 0 ? fmi3OK : fmi3Error; }

}  // namespace

LAYSHAFT_FMI3 fmi3Instance fmi3InstantiateModelExchange(fmi3String, fmi3String, fmi3String,
                                                        fmi3Boolean, fmi3Boolean,
                                                        fmi3InstanceEnvironment,
                                                        fmi3LogMessageCallback) {
  return nullptr;
}
LAYSHAFT_FMI3 fmi3Instance fmi3InstantiateScheduledExecution(
    fmi3String, fmi3String, fmi3String, fmi3Boolean, fmi3Boolean, fmi3InstanceEnvironment,
    fmi3LogMessageCallback, fmi3ClockUpdateCallback, fmi3LockPreemptionCallback,
    fmi3UnlockPreemptionCallback) {
  return nullptr;
}

// One line a type that no variable has.
#define LAYSHAFT_NONE_OF_TYPE(Type)                                                              \
  LAYSHAFT_FMI3 fmi3Status fmi3Get##Type(fmi3Instance, const fmi3ValueReference[], size_t count, \
                                         fmi3##Type[], size_t) {                                 \
    return none_of_type(count);                                                                  \
  }                                                                                              \
  LAYSHAFT_FMI3 fmi3Status fmi3Set##Type(fmi3Instance, const fmi3ValueReference[], size_t count, \
                                         const fmi3##Type[], size_t) {                           \
    return none_of_type(count);                                                                  \
  }
LAYSHAFT_NONE_OF_TYPE(Float32)
LAYSHAFT_NONE_OF_TYPE(Int8)
LAYSHAFT_NONE_OF_TYPE(UInt8)
LAYSHAFT_NONE_OF_TYPE(Int16)
LAYSHAFT_NONE_OF_TYPE(UInt16)
LAYSHAFT_NONE_OF_TYPE(UInt32)
LAYSHAFT_NONE_OF_TYPE(UInt64)
LAYSHAFT_NONE_OF_TYPE(String)

LAYSHAFT_FMI3 fmi3Status fmi3GetBinary(fmi3Instance, const fmi3ValueReference[], size_t count,
                                       size_t[], fmi3Binary[], size_t) {
  return none_of_type(count);
}
LAYSHAFT_FMI3 fmi3Status fmi3SetBinary(fmi3Instance, const fmi3ValueReference[], size_t count,
                                       const size_t[], const fmi3Binary[], size_t) {
  return none_of_type(count);
}
LAYSHAFT_FMI3 fmi3Status fmi3GetClock(fmi3Instance, const fmi3ValueReference[], size_t count,
                                      fmi3Clock[]) {
  return none_of_type(count);
}
LAYSHAFT_FMI3 fmi3Status fmi3SetClock(fmi3Instance, const fmi3ValueReference[], size_t count,
                                      const fmi3Clock[]) {
  return none_of_type(count);
}

#define LAYSHAFT_NOT_OFFERED(Name, ...) \
  LAYSHAFT_FMI3 fmi3Status Name(fmi3Instance __VA_OPT__(, ) __VA_ARGS__) { return fmi3Error; }
LAYSHAFT_NOT_OFFERED(fmi3GetNumberOfVariableDependencies, fmi3ValueReference, size_t*)
LAYSHAFT_NOT_OFFERED(fmi3GetVariableDependencies, fmi3ValueReference, size_t[],
                     fmi3ValueReference[], size_t[], fmi3DependencyKind[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetDirectionalDerivative, const fmi3ValueReference[], size_t,
                     const fmi3ValueReference[], size_t, const fmi3Float64[], size_t, fmi3Float64[],
                     size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetAdjointDerivative, const fmi3ValueReference[], size_t,
                     const fmi3ValueReference[], size_t, const fmi3Float64[], size_t, fmi3Float64[],
                     size_t)
LAYSHAFT_NOT_OFFERED(fmi3EnterConfigurationMode)
LAYSHAFT_NOT_OFFERED(fmi3ExitConfigurationMode)
LAYSHAFT_NOT_OFFERED(fmi3GetIntervalDecimal, const fmi3ValueReference[], size_t, fmi3Float64[],
                     fmi3IntervalQualifier[])
LAYSHAFT_NOT_OFFERED(fmi3GetIntervalFraction, const fmi3ValueReference[], size_t, fmi3UInt64[],
                     fmi3UInt64[], fmi3IntervalQualifier[])
LAYSHAFT_NOT_OFFERED(fmi3GetShiftDecimal, const fmi3ValueReference[], size_t, fmi3Float64[])
LAYSHAFT_NOT_OFFERED(fmi3GetShiftFraction, const fmi3ValueReference[], size_t, fmi3UInt64[],
                     fmi3UInt64[])
LAYSHAFT_NOT_OFFERED(fmi3SetIntervalDecimal, const fmi3ValueReference[], size_t,
                     const fmi3Float64[])
LAYSHAFT_NOT_OFFERED(fmi3SetIntervalFraction, const fmi3ValueReference[], size_t,
                     const fmi3UInt64[], const fmi3UInt64[])
LAYSHAFT_NOT_OFFERED(fmi3SetShiftDecimal, const fmi3ValueReference[], size_t, const fmi3Float64[])
LAYSHAFT_NOT_OFFERED(fmi3SetShiftFraction, const fmi3ValueReference[], size_t, const fmi3UInt64[],
                     const fmi3UInt64[])
LAYSHAFT_NOT_OFFERED(fmi3EnterContinuousTimeMode)
LAYSHAFT_NOT_OFFERED(fmi3CompletedIntegratorStep, fmi3Boolean, fmi3Boolean*, fmi3Boolean*)
LAYSHAFT_NOT_OFFERED(fmi3SetTime, fmi3Float64)
LAYSHAFT_NOT_OFFERED(fmi3SetContinuousStates, const fmi3Float64[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetContinuousStateDerivatives, fmi3Float64[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetEventIndicators, fmi3Float64[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetContinuousStates, fmi3Float64[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetNominalsOfContinuousStates, fmi3Float64[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3GetNumberOfEventIndicators, size_t*)
LAYSHAFT_NOT_OFFERED(fmi3GetNumberOfContinuousStates, size_t*)
LAYSHAFT_NOT_OFFERED(fmi3GetOutputDerivatives, const fmi3ValueReference[], size_t,
                     const fmi3Int32[], fmi3Float64[], size_t)
LAYSHAFT_NOT_OFFERED(fmi3ActivateModelPartition, fmi3ValueReference, fmi3Float64)
