#include "layshaft/c/layshaft.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstring>
#include <initializer_list>
#include <iterator>
#include <memory>
#include <new>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "layshaft/car/car_list.hpp"
#include "layshaft/car/setup_text.hpp"
#include "layshaft/car/units.hpp"
#include "layshaft/fit/learn.hpp"
#include "layshaft/fit/question.hpp"
#include "layshaft/run/saved_state.hpp"
#include "layshaft/run/variables.hpp"
#include "layshaft/version.hpp"

// The parameters that are set, and the run that was started from them.
struct layshaft_car {
  layshaft::SimulationSetup setup;
  layshaft::Simulation run;
};

namespace {

using layshaft::Role;
using layshaft::Variable;

// Not a std::string: taking down that memory is short must need none.
thread_local std::array<char, 512> last_error{};

layshaft_status fail(layshaft_status status, const char* what) {
  const std::size_t length = std::min(std::strlen(what), last_error.size() - 1);
  std::memcpy(last_error.data(), what, length);
  last_error[length] = '\0';
  return status;
}

static_assert(static_cast<int>(layshaft::FitEnd::settled) == LAYSHAFT_SETTLED &&
              static_cast<int>(layshaft::FitEnd::rough) == LAYSHAFT_ROUGH &&
              static_cast<int>(layshaft::FitEnd::most_looks) == LAYSHAFT_MOST_LOOKS);

// Nothing thrown passes the border. The library throws a runtime error where a run cannot go on.
template <class Work>
layshaft_status guarded(Work work) noexcept {
  try {
    return work();
  } catch (const std::invalid_argument& refused) {
    return fail(LAYSHAFT_BAD_INPUT, layshaft::without_owner(refused.what()));
  } catch (const std::runtime_error& stopped) {
    return fail(LAYSHAFT_STOPPED, stopped.what());
  } catch (const std::bad_alloc&) {
    return fail(LAYSHAFT_NO_MEMORY, "out of memory");
  } catch (const std::exception& fault) {
    return fail(LAYSHAFT_FAULT, fault.what());
  } catch (...) {
    return fail(LAYSHAFT_FAULT, "unknown fault");
  }
}

void require_pointer(const void* pointer, const char* name) {
  if (pointer == nullptr) {
    throw std::invalid_argument(std::string(name) + " must not be a null pointer");
  }
}

void require_index(std::size_t number, std::size_t count, const char* name) {
  if (number >= count) {
    throw std::invalid_argument(std::string(name) + " = " + std::to_string(number) +
                                " must be less than " + std::to_string(count));
  }
}

[[noreturn]] void refuse_name(const char* name) {
  throw std::invalid_argument(
      "unknown variable " + layshaft::shortened(name) +
      "; nearest known field: " + std::string(layshaft::nearest_path(name)));
}

std::size_t number_of(const char* name) {
  require_pointer(name, "name");
  if (const auto number = layshaft::find_variable(name)) return *number;
  refuse_name(name);
}

double value_of(const layshaft_car& car, std::size_t number) {
  require_index(number, layshaft::variables().size(), "number");
  if (layshaft::variables()[number].role == Role::output) {
    return layshaft::get_output(car.run, number);
  }
  return layshaft::get_variable(car.setup, number);
}

void set_value(layshaft_car& car, std::size_t number, double value) {
  layshaft::SimulationSetup setup = car.setup;
  layshaft::set_variable(setup, number, value);
  car.run.set_inputs(setup.inputs);
  car.setup = setup;
}

// The table's texts end without a zero; these do.
struct Texts {
  std::vector<std::string> names, units, meanings, choices;
};

const Texts& texts() {
  static const Texts all = [] {
    Texts made;
    for (const Variable& variable : layshaft::variables()) {
      made.names.emplace_back(variable.name);
      made.units.emplace_back(variable.unit);
      made.meanings.emplace_back(variable.meaning);
      std::string& choices = made.choices.emplace_back();
      for (const std::string_view choice : variable.choices) {
        if (!choices.empty()) choices += ' ';
        choices += choice;
      }
    }
    return made;
  }();
  return all;
}

// Fills as many members of a sized struct as its owner knows, each whole; `begins` of all of them.
template <class Struct>
void fill(const Struct& known, Struct* wanted, const char* name,
          std::initializer_list<std::size_t> begins) {
  require_pointer(wanted, name);
  const std::size_t size = wanted->size;
  if (size < sizeof(std::size_t)) {
    throw std::invalid_argument(std::string(name) + "->size must be set to its sizeof");
  }
  std::size_t whole = sizeof known;
  if (size < whole) whole = *std::prev(std::upper_bound(begins.begin(), begins.end(), size));
  std::memcpy(wanted, &known, whole);
  wanted->size = size;
}

layshaft_status step(layshaft_car* car, double time, double* reached, bool until_change) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(reached, "reached");
    const double stop = until_change ? car->run.step_to_change(time) : car->run.step_to(time);
    const bool at_change = until_change && car->run.changed();
    const std::string failure = stop < time && !at_change ? car->run.failure() : "";
    if (!failure.empty()) car->run.take_back();
    *reached = stop;
    return failure.empty() ? LAYSHAFT_OK : fail(LAYSHAFT_STOPPED, failure.c_str());
  });
}

}  // namespace

const char* layshaft_version(void) { return layshaft::version().data(); }

const char* layshaft_last_error(void) { return last_error.data(); }

layshaft_status layshaft_create(const char* setup, layshaft_car** car) {
  return guarded([&] {
    require_pointer(car, "car");
    const layshaft::SimulationSetup start{
        .car = setup == nullptr ? layshaft::demo_car() : layshaft::car_from_text(setup),
        .options = {},
        .inputs = {}};
    layshaft::Simulation run(start);
    *car = std::unique_ptr<layshaft_car>(new layshaft_car{start, std::move(run)}).release();
    return LAYSHAFT_OK;
  });
}

void layshaft_destroy(layshaft_car* car) { std::default_delete<layshaft_car>()(car); }

size_t layshaft_variable_count(void) { return layshaft::variables().size(); }

layshaft_status layshaft_describe(size_t number, layshaft_variable* variable) {
  return guarded([&] {
    require_index(number, layshaft::variables().size(), "number");
    const Variable& row = layshaft::variables()[number];
    const Texts& text = texts();
    const layshaft_variable known{sizeof(layshaft_variable),
                                  text.names[number].c_str(),
                                  text.units[number].c_str(),
                                  text.meanings[number].c_str(),
                                  text.choices[number].c_str(),
                                  static_cast<layshaft_role>(row.role),
                                  static_cast<layshaft_kind>(row.kind),
                                  row.fallback,
                                  row.minimum,
                                  row.maximum};
    fill(known, variable, "variable",
         {offsetof(layshaft_variable, size), offsetof(layshaft_variable, name),
          offsetof(layshaft_variable, unit), offsetof(layshaft_variable, meaning),
          offsetof(layshaft_variable, choices), offsetof(layshaft_variable, role),
          offsetof(layshaft_variable, kind), offsetof(layshaft_variable, fallback),
          offsetof(layshaft_variable, minimum), offsetof(layshaft_variable, maximum)});
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_find(const char* name, size_t* number) {
  return guarded([&] {
    require_pointer(number, "number");
    *number = number_of(name);
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_set(layshaft_car* car, const char* name, double value) {
  return guarded([&] {
    require_pointer(car, "car");
    set_value(*car, number_of(name), value);
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_set_text(layshaft_car* car, const char* name, const char* value) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(value, "value");
    const std::size_t number = number_of(name);
    const Variable& row = layshaft::variables()[number];
    set_value(*car, number, layshaft::read_value_of(row.name, value, row.unit, row.choices));
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_get(layshaft_car* car, const char* name, double* value) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(value, "value");
    *value = value_of(*car, number_of(name));
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_get_many(layshaft_car* car, const size_t* numbers, size_t count,
                                  double* values) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(numbers, "numbers");
    require_pointer(values, "values");
    std::vector<double> found;
    for (size_t i = 0; i < count; ++i) found.push_back(value_of(*car, numbers[i]));
    std::copy(found.begin(), found.end(), values);
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_learn(layshaft_car* car, const char* question, layshaft_interval* learned,
                               size_t count, layshaft_fit_end* end) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(question, "question");
    require_pointer(learned, "learned");
    require_pointer(end, "end");
    const auto [unknowns, seen] = layshaft::read_question(car->setup.car, question);
    if (count != unknowns.size()) {
      throw std::invalid_argument("count = " + std::to_string(count) +
                                  " must be as many as are to be learned, " +
                                  std::to_string(unknowns.size()));
    }
    const layshaft::Learned found = layshaft::learn(car->setup.car, unknowns, seen);
    const std::array points{&found.point};
    car->setup.car = layshaft::Changes(points).of(car->setup.car);
    for (size_t i = 0; i < count; ++i) {
      learned[i] = {found.values[i], found.low[i], found.high[i]};
    }
    *end = static_cast<layshaft_fit_end>(found.end);
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_reset(layshaft_car* car) {
  return guarded([&] {
    require_pointer(car, "car");
    car->run = layshaft::Simulation(car->setup);
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_step_to(layshaft_car* car, double time, double* reached) {
  return step(car, time, reached, false);
}

layshaft_status layshaft_step_to_event(layshaft_car* car, double time, double* reached) {
  return step(car, time, reached, true);
}

size_t layshaft_event_count(const layshaft_car* car) {
  return car == nullptr ? 0 : car->run.changes().size();
}

layshaft_status layshaft_get_event(const layshaft_car* car, size_t number, layshaft_event* event) {
  return guarded([&] {
    require_pointer(car, "car");
    require_index(number, car->run.changes().size(), "number");
    const layshaft::Change& change = car->run.changes()[number];
    const bool is_switch = change.part == layshaft::Change::Part::plant_switch;
    const auto index = static_cast<std::size_t>(change.index);
    const std::string_view part =
        is_switch ? layshaft::kSwitchNames[index] : layshaft::kCouplingNames[index];
    // Both views are of literals, which end with a zero.
    const layshaft_event known{sizeof(layshaft_event),
                               change.time,
                               part.data(),
                               is_switch ? 1 : 0,
                               change.from,
                               change.to,
                               layshaft::to_string(change.cause).data()};
    fill(known, event, "event",
         {offsetof(layshaft_event, size), offsetof(layshaft_event, time),
          offsetof(layshaft_event, part), offsetof(layshaft_event, is_switch),
          offsetof(layshaft_event, from), offsetof(layshaft_event, to),
          offsetof(layshaft_event, cause)});
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_state_size(layshaft_car* car, size_t* bytes) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(bytes, "bytes");
    *bytes = layshaft::size_as_bytes(car->run.save());
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_save(layshaft_car* car, void* state, size_t bytes) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(state, "state");
    const std::vector<double> saved = car->run.save();
    if (bytes != layshaft::size_as_bytes(saved)) {
      throw std::invalid_argument("bytes must be what layshaft_state_size says");
    }
    layshaft::write_bytes(saved, state);
    return LAYSHAFT_OK;
  });
}

layshaft_status layshaft_load(layshaft_car* car, const void* state, size_t bytes) {
  return guarded([&] {
    require_pointer(car, "car");
    require_pointer(state, "state");
    car->run.load(layshaft::numbers_of_bytes(state, bytes));
    car->setup = car->run.setup();
    return LAYSHAFT_OK;
  });
}
