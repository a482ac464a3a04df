#pragma once

/// What the bindings of launches and laps share: tables, lists of changes, progress.

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "layshaft/car/car_list.hpp"
#include "layshaft/network/modes.hpp"
#include "layshaft/run/outputs.hpp"

namespace layshaft {

using Table = pybind11::array_t<double>;

// Rows x columns from a function of both.
template <class Value, class Entry>
[[nodiscard]] pybind11::array_t<Value> fill(std::size_t rows, std::size_t columns, Entry entry) {
  pybind11::array_t<Value> table({rows, columns});
  auto view = table.template mutable_unchecked<2>();
  for (std::size_t i = 0; i < rows; ++i) {
    for (std::size_t j = 0; j < columns; ++j) {
      view(static_cast<pybind11::ssize_t>(i), static_cast<pybind11::ssize_t>(j)) = entry(i, j);
    }
  }
  return table;
}

// A row for each output, in it a number a sample; `read` makes of a sample what gives its outputs.
template <class Samples, class Read>
[[nodiscard]] Table output_columns(const Samples& samples, std::size_t outputs, Read read) {
  Table table({outputs, samples.size()});
  auto view = table.template mutable_unchecked<2>();
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const auto output = read(samples[i]);
    for (std::size_t j = 0; j < outputs; ++j) {
      view(static_cast<pybind11::ssize_t>(j), static_cast<pybind11::ssize_t>(i)) = output(j);
    }
  }
  return table;
}

[[nodiscard]] inline Table reshaped(const std::vector<double>& values, std::size_t rows) {
  const std::size_t columns = rows == 0 ? 0 : values.size() / rows;
  return fill<double>(rows, columns,
                      [&](std::size_t i, std::size_t j) { return values[i * columns + j]; });
}

/// Tuples (name, unit, meaning, choices), in the order of the columns of samples.
[[nodiscard]] inline pybind11::tuple output_table(std::span<const Output> outputs) {
  pybind11::list table;
  for (const Output& output : outputs) {
    pybind11::list choices;
    for (const std::string_view choice : output.choices) choices.append(std::string(choice));
    table.append(
        pybind11::make_tuple(output.name, output.unit, output.meaning, pybind11::tuple(choices)));
  }
  return pybind11::tuple(table);
}

/// Tuples (time, kind, part, from, to, cause) in order of time.
[[nodiscard]] inline pybind11::list change_list(std::span<const Change> changes,
                                                std::span<const std::string_view> switch_names) {
  pybind11::list list;
  for (const Change& change : changes) {
    const bool is_switch = change.part == Change::Part::plant_switch;
    const auto index = static_cast<std::size_t>(change.index);
    const auto mode = [&](int value) -> pybind11::object {
      if (is_switch) return pybind11::int_(value);
      return pybind11::str(std::string(to_string(static_cast<CouplingMode>(value))));
    };
    const std::string_view part = is_switch ? switch_names[index] : kCouplingNames[index];
    pybind11::dict fields;
    fields["time"] = change.time;
    fields["part"] = std::string(part);
    fields["was"] = mode(change.from);
    fields["now"] = mode(change.to);
    fields["cause"] = std::string(to_string(change.cause));
    list.append(fields);
  }
  return list;
}

// Reports to Python about progress and keeps its signals alive; runs with the interpreter's lock
// released in between. An exception of the callback (or Ctrl-C) stops the sweep and is raised after
// it has ended, unless it is an interrupt: then what was computed is returned.
class PythonProgress {
 public:
  explicit PythonProgress(const pybind11::object& callback) : callback_(callback) {}

  bool operator()(std::size_t done, std::size_t total) {
    const pybind11::gil_scoped_acquire lock;
    if (failed_) return false;
    try {
      if (PyErr_CheckSignals() != 0) throw pybind11::error_already_set();
      if (!callback_.is_none()) callback_(done, total);
      return true;
    } catch (pybind11::error_already_set& error) {
      interrupted_ = error.matches(PyExc_KeyboardInterrupt);
      if (!interrupted_) error_ = std::make_unique<pybind11::error_already_set>(error);
      failed_ = true;
      return false;
    }
  }

  [[nodiscard]] bool interrupted() const { return interrupted_; }
  void raise() const {
    if (error_) throw pybind11::error_already_set(*error_);
  }

 private:
  const pybind11::object& callback_;
  bool failed_ = false;
  bool interrupted_ = false;
  std::unique_ptr<pybind11::error_already_set> error_;
};

}  // namespace layshaft
