#pragma once

/// The types of the functional mock-up interface 2.0, platform "default", as its standard has them.
///
/// Source: Functional Mock-up Interface for Model Exchange and Co-Simulation, version 2.0.4,
/// sections 2.1 and 4.2 (names, order and values). A test compiles the unit against the standard's
/// own headers instead (`LAYSHAFT_FMI2_HEADER`).

#ifdef LAYSHAFT_FMI2_HEADER
#include LAYSHAFT_FMI2_HEADER
#else

#include <cstddef>

using fmi2Component = void*;
using fmi2ComponentEnvironment = void*;
using fmi2FMUstate = void*;
using fmi2ValueReference = unsigned int;
using fmi2Real = double;
using fmi2Integer = int;
using fmi2Boolean = int;
using fmi2String = const char*;
using fmi2Byte = char;

enum fmi2Status { fmi2OK, fmi2Warning, fmi2Discard, fmi2Error, fmi2Fatal, fmi2Pending };
enum fmi2Type { fmi2ModelExchange, fmi2CoSimulation };
enum fmi2StatusKind { fmi2DoStepStatus, fmi2PendingStatus, fmi2LastSuccessfulTime, fmi2Terminated };

struct fmi2CallbackFunctions {
  void (*logger)(fmi2ComponentEnvironment, fmi2String name, fmi2Status, fmi2String category,
                 fmi2String message, ...);
  void* (*allocateMemory)(std::size_t count, std::size_t size);
  void (*freeMemory)(void*);
  void (*stepFinished)(fmi2ComponentEnvironment, fmi2Status);
  fmi2ComponentEnvironment componentEnvironment;
};

#endif
