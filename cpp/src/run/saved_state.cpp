#include "layshaft/run/saved_state.hpp"

#include <boost/crc.hpp>
#include <cstddef>
#include <cstring>

#include "layshaft/car/fields.hpp"
#include "layshaft/version.hpp"

namespace layshaft {
namespace {

constexpr int kMostModes = static_cast<int>(CouplingMode::slip_negative);
constexpr int kMostCauses = static_cast<int>(Cause::followed);
constexpr int kMostWhole = 1'000'000'000;

// Each `exchange` names what belongs to a value, in one order for writing and for reading.

template <class Archive, class Setup>
void exchange_run(Archive& archive, Setup& setup) {
  archive(setup.options.start_speed);
  archive(setup.options.own_driver, 1);
  archive(setup.options.stopwatch_distance);
  archive(setup.options.tolerance);
  archive(setup.options.keep_changes, 1);
  archive(setup.inputs.throttle);
  archive(setup.inputs.brake);
  archive(setup.inputs.grade);
}

// The carried error is left out: a simulation gives none.
template <class Archive, class OutsetLike>
void exchange(Archive& archive, OutsetLike& outset) {
  auto& at = outset.at;
  archive(at.time);
  for (int i = 0; i < car_state::count; ++i) archive(at.state(i));
  for (auto& mode : at.modes.couplings) archive(mode, kMostModes);
  for (int k = 0; k < plant_switch::count; ++k) {
    const int most = k == plant_switch::pedals ? static_cast<int>(kMostKinks) : 1;
    archive(at.modes.switches[static_cast<std::size_t>(k)], most);
  }
  for (auto& account : at.accounts) archive(account);
  archive(outset.pitch.angle);
  archive(outset.pitch.rate);
  archive(outset.step);
  archive(at.same_instant, kMostWhole);
  archive(at.instant);
  archive(at.steps, kMostWhole);
}

template <class Archive, class ChangeLike>
void exchange_change(Archive& archive, ChangeLike& change) {
  archive(change.time);
  archive(change.part, 1);
  archive(change.index, coupling::count - 1);
  archive(change.from, static_cast<int>(kMostKinks));
  archive(change.to, static_cast<int>(kMostKinks));
  archive(change.cause, kMostCauses);
}

// What tells numbers of another version or another kind.
std::vector<double> heading() {
  std::vector<double> numbers{static_cast<double>(fields().size()), car_state::count};
  for (const char letter : version()) numbers.push_back(letter);
  return numbers;
}

double checksum(const void* bytes, std::size_t size) {
  boost::crc_32_type sum;
  sum.process_bytes(bytes, size);
  return sum.checksum();
}

void write_car(NumberWriter& writer, const Car& car) {
  for (const Field& field : fields()) writer(field.get(car));
  writer(car.engine.torque.count, static_cast<int>(kMaxKnots));
  for (const double speed : car.engine.torque.x) writer(speed);
  for (const double torque : car.engine.torque.y) writer(torque);
}

void read_car(NumberReader& reader, Car& car) {
  for (const Field& field : fields()) {
    double value = 0.0;
    reader(value);
    check_range(field, value);
    field.set(car, value);
  }
  reader(car.engine.torque.count, static_cast<int>(kMaxKnots));
  for (double& speed : car.engine.torque.x) reader(speed);
  for (double& torque : car.engine.torque.y) reader(torque);
}

}  // namespace

std::vector<double> to_numbers(const SavedState& state) {
  NumberWriter writer;
  writer(0.0);  // Of all that follows, once it is known.
  for (const double number : heading()) writer(number);
  write_car(writer, state.setup.car);
  exchange_run(writer, state.setup);
  writer(state.time);
  writer.or_never(state.stopped_at);
  exchange(writer, state.outset);
  writer(state.steps, kMostWhole);
  writer(state.changes.size(), kMostWhole);
  for (const Change& change : state.changes) exchange_change(writer, change);
  std::vector<double> numbers = writer.numbers();
  numbers.front() = static_cast<double>(numbers.size());
  return numbers;
}

SavedState from_numbers(std::span<const double> numbers) {
  NumberReader reader(numbers);
  double count = 0.0;
  reader(count);
  if (count != static_cast<double>(numbers.size())) NumberReader::refuse();
  for (const double expected : heading()) {
    double found = 0.0;
    reader(found);
    if (found != expected) NumberReader::refuse();
  }
  SavedState state{};
  state.setup.car = demo_car();
  read_car(reader, state.setup.car);
  exchange_run(reader, state.setup);
  reader(state.time);
  reader.or_never(state.stopped_at);
  exchange(reader, state.outset);
  reader(state.steps, kMostWhole);
  std::size_t changes = 0;
  reader(changes, kMostWhole);
  for (; changes > 0; --changes) {
    Change change{};
    exchange_change(reader, change);
    state.changes.push_back(change);
  }
  if (!reader.at_end()) NumberReader::refuse();
  return state;
}

std::size_t size_as_bytes(std::span<const double> numbers) {
  return numbers.size_bytes() + sizeof(double);
}

void write_bytes(std::span<const double> numbers, void* bytes) {
  const double sum = checksum(numbers.data(), numbers.size_bytes());
  std::memcpy(bytes, numbers.data(), numbers.size_bytes());
  std::memcpy(static_cast<std::byte*>(bytes) + numbers.size_bytes(), &sum, sizeof sum);
}

std::vector<double> numbers_of_bytes(const void* bytes, std::size_t size) {
  double count = 0.0;
  if (size < 2 * sizeof count || size % sizeof count != 0) NumberReader::refuse();
  const std::size_t own = size - sizeof count;
  std::memcpy(&count, bytes, sizeof count);
  if (count != static_cast<double>(own / sizeof count)) NumberReader::refuse();
  double sum = 0.0;
  std::memcpy(&sum, static_cast<const std::byte*>(bytes) + own, sizeof sum);
  if (sum != checksum(bytes, own)) NumberReader::refuse();
  std::vector<double> numbers(own / sizeof count);
  std::memcpy(numbers.data(), bytes, own);
  return numbers;
}

}  // namespace layshaft
