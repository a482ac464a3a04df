// C interface of the benchmark: whole runs by the compiled solvers, timed here, and the pieces of a
// run (rates, Jacobian, guards, mode changes) for the solvers that are called from Python.

#include <time.h>

#include <map>
#include <memory>
#include <tuple>

#include "course.hpp"
#include "layshaft/network/by_stiffness.hpp"
#include "layshaft/run/scalars.hpp"
#include "layshaft/run/sweep.hpp"
#include "problems.hpp"
#include "rivals/rival.hpp"
#include "spring_chain.hpp"

#if __has_include("layshaft/run/lane_kernels.hpp")
#include "layshaft/run/lane_kernels.hpp"
#define LAYSHAFT_BENCH_HAS_LANES
#endif

namespace layshaft::bench {
namespace {

constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();

/// What all solvers are asked for. Layout known to `bench_library.py`.
struct Answer {
  double end_time;     // at 60 m, or at the end of O1 [s]
  double shift_start;  // first shoe touches [s]
  double shift_end;    // drum locks [s]
  double end_speed;    // of the car, or of the first node [m/s, rad/s]
  double steps;
  double good;  // 1 where the run reached its end
};

/// The problems, and the library's own solvers; rivals count on from these. Orders known to
/// `bench_library.py`.
enum class Which : int { earlier_launch, launch, stiff_launch, clutches, springs, stiff_springs };
enum class Solver : int { library, rodas5p, rodas4p, dormand_prince, count };

/// 39 states: as stiff as the car, and ten times more.
using Springs = SpringChainProblem<20>;
constexpr double kDamping = 75.0;  // [N*m*s]
constexpr double kStiffDamping = 1000.0;

[[nodiscard]] bool is_launch(Which which) { return which <= Which::stiff_launch; }
[[nodiscard]] Car base_of(Which which) {
  if (which == Which::earlier_launch) return earlier_car();
  return which == Which::stiff_launch ? stiff_car() : demo_car();
}

template <class State>
using Rodas4P = RosenbrockStepper<State, kRodas4P>;

// The hand-over that led to the first lock-up of the drum.
void read_shift(const std::vector<Change>& changes, Answer& answer) {
  for (const Change& change : changes) {
    if (change.part != Change::Part::coupling || change.index != coupling::second) continue;
    const auto from = static_cast<CouplingMode>(change.from);
    const auto to = static_cast<CouplingMode>(change.to);
    if (from == CouplingMode::open) answer.shift_start = change.time;
    if (is_stuck(to)) {
      answer.shift_end = change.time;
      return;
    }
  }
}

struct Run {
  Answer answer{kNotANumber, kNotANumber, kNotANumber, kNotANumber, 0.0, 0.0};
  std::vector<Change> changes;
};

template <class Problem>
void finish(const double* state, double time, Run& run) {
  run.answer.end_time = time;
  if constexpr (std::is_same_v<Problem, LaunchProblem>) {
    read_shift(run.changes, run.answer);
    run.answer.end_speed = state[node::car];
  } else {
    run.answer.end_speed = state[0];
  }
}

// Stops a launch at its distance; nothing else is taken down.
struct StopAtDistance {
  template <class SegmentView>
  double operator()(const SegmentView& segment) const {
    const auto left = [&](double time) {
      return LaunchProblem::kDistance - segment.accounts(time)[account::distance];
    };
    const double at_end = left(segment.end);
    if (at_end > 0.0) return std::numeric_limits<double>::infinity();
    std::uintmax_t most_tries = 60;
    return boost::math::tools::toms748_solve(left, segment.begin, segment.end, left(segment.begin),
                                             at_end, boost::math::tools::eps_tolerance<double>(50),
                                             most_tries)
        .second;
  }
};

template <template <class> class StepperOf, class Problem>
Run integrate(const Problem& problem, double tolerance) {
  using P = typename Problem::PlantType;
  IntegrationOptions options;
  options.tolerance = tolerance;
  options.most_steps = 100'000'000;
  Integrator<P, StepperOf> integrator(problem.plant, options);
  Integration<P> result;
  if constexpr (std::is_same_v<Problem, LaunchProblem>) {
    result = integrator.run(0.0, problem.start, problem.modes, Problem::kEnd, StopAtDistance{});
  } else {
    result =
        integrator.run(0.0, problem.start, problem.modes, Problem::kEnd, testing::NoRecorder{});
  }
  Run run;
  run.changes = result.changes;
  finish<Problem>(result.state.data(), result.ending.time, run);
  run.answer.steps = static_cast<double>(result.ending.steps);
  run.answer.good = result.ending.status == Status::finished ? 1.0 : 0.0;
  return run;
}

// A rival with its memory, kept from run to run.
Rival& kept_rival(std::size_t which, const AnyCourse& course, Work work) {
  static std::map<std::tuple<std::size_t, int, Work>, std::unique_ptr<Rival>> kept;
  auto& rival = kept[{which, course.size(), work}];
  if (!rival) rival = make_rival(which, course, work);
  return *rival;
}

template <class Problem>
Run run_rival(Course<Problem>& course, Rival& rival, double tolerance) {
  Run run;
  if (!course.begin()) return run;
  const long steps = rival.run(course, tolerance);
  run.changes = course.changes();
  finish<Problem>(course.state(), course.time(), run);
  run.answer.steps = static_cast<double>(steps);
  run.answer.good = steps >= 0 ? 1.0 : 0.0;
  return run;
}

// By `layshaft::launch`, as a user would call it.
Run run_launch(const Car& car, double tolerance) {
  LaunchOptions options;
  options.integration.tolerance = tolerance;
  LaunchResult result = launch(car, options);
  const bool good = result.end == LaunchEnd::distance;
  return {{result.ending.time, result.shift.contact.time, result.shift.lock.time,
           result.state(node::car), static_cast<double>(result.ending.steps), good ? 1.0 : 0.0},
          std::move(result.changes)};
}

template <class Problem>
Run run_other(Problem problem, int solver, Work work, double tolerance) {
  switch (static_cast<Solver>(solver)) {
    case Solver::library: return integrate<ByStiffness>(problem, tolerance);
    case Solver::rodas5p: return integrate<Rosenbrock>(problem, tolerance);
    case Solver::rodas4p: return integrate<Rodas4P>(problem, tolerance);
    case Solver::dormand_prince: return integrate<DormandPrince>(problem, tolerance);
    case Solver::count: break;
  }
  Course<Problem> course(std::move(problem));
  const auto which = static_cast<std::size_t>(solver - static_cast<int>(Solver::count));
  return run_rival(course, kept_rival(which, course, work), tolerance);
}

Run run_any(Which which, int solver, const Car& car, Work work, double tolerance) {
  switch (which) {
    case Which::clutches: return run_other(ClutchesProblem(), solver, work, tolerance);
    case Which::springs: return run_other(Springs(kDamping), solver, work, tolerance);
    case Which::stiff_springs: return run_other(Springs(kStiffDamping), solver, work, tolerance);
    default: break;
  }
  if (static_cast<Solver>(solver) == Solver::library) return run_launch(car, tolerance);
  return run_other(LaunchProblem(car), solver, work, tolerance);
}

double seconds(clockid_t clock) {
  timespec now{};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

// The course that Python's solvers are on.
std::unique_ptr<AnyCourse> the_course;
Which the_problem = Which::launch;

}  // namespace
}  // namespace layshaft::bench

using namespace layshaft;         // NOLINT: the C interface below is outside all namespaces
using namespace layshaft::bench;  // NOLINT

extern "C" {

// One change as five numbers: time, part, index, from, to.
static int put_changes(const std::vector<Change>& changes, double* rows, int most) {
  const int count = std::min(most, static_cast<int>(changes.size()));
  for (int i = 0; i < count; ++i) {
    const Change& change = changes[static_cast<std::size_t>(i)];
    double* const row = rows + 5 * i;
    row[0] = change.time;
    row[1] = static_cast<double>(change.part);
    row[2] = change.index;
    row[3] = change.from;
    row[4] = change.to;
  }
  return static_cast<int>(changes.size());
}

// Runs `repeats` times and gives the answer of the last run with its changes, and processor and
// wall time of one run: building the plant and all that follows is timed, making the car is not.
int bench_run(int problem, int solver, int work, const Setting* setting, double tolerance,
              int repeats, Answer* answer, double* cpu_and_wall, double* changes,
              int most_changes) {
  const auto which = static_cast<Which>(problem);
  const Car car = is_launch(which) ? with_setting(base_of(which), *setting) : demo_car();
  Run run;
  const double cpu = seconds(CLOCK_THREAD_CPUTIME_ID);
  const double wall = seconds(CLOCK_MONOTONIC);
  for (int i = 0; i < repeats; ++i) {
    run = run_any(which, solver, car, static_cast<Work>(work), tolerance);
  }
  cpu_and_wall[0] = (seconds(CLOCK_THREAD_CPUTIME_ID) - cpu) / repeats;
  cpu_and_wall[1] = (seconds(CLOCK_MONOTONIC) - wall) / repeats;
  *answer = run.answer;
  return put_changes(run.changes, changes, most_changes);
}

// `layshaft::sweep` over gap x slug x pinion; answers one a setting, processor time of all threads.
void bench_sweep(int problem, const Setting* settings, int count, double tolerance,
                 unsigned threads, Answer* answers, double* cpu_and_wall) {
  SweepPlan plan{{"two_speed.gap", "two_speed.slug_mass", "first.pinion"}, {}};
  const auto runs = static_cast<std::size_t>(count);
  plan.values.reserve(3 * runs);
  for (std::size_t i = 0; i < runs; ++i) {
    plan.values.insert(plan.values.end(),
                       {settings[i].gap, settings[i].slug_mass, settings[i].pinion});
  }
  SweepOptions options;
  options.threads = threads;
  options.launch.integration.tolerance = tolerance;
  const double cpu = seconds(CLOCK_PROCESS_CPUTIME_ID);
  const double wall = seconds(CLOCK_MONOTONIC);
  const SweepResult result = sweep(base_of(static_cast<Which>(problem)), plan, options);
  cpu_and_wall[0] = seconds(CLOCK_PROCESS_CPUTIME_ID) - cpu;
  cpu_and_wall[1] = seconds(CLOCK_MONOTONIC) - wall;

  const auto column = [](std::string_view name) {
    const auto all = scalars();
    const auto found = std::find_if(all.begin(), all.end(),
                                    [&](const Scalar& scalar) { return scalar.name == name; });
    return static_cast<std::size_t>(found - all.begin());
  };
  const std::size_t end_time = column("end_time");
  const std::size_t contact_time = column("contact_time");
  const std::size_t lock_time = column("lock_time");
  const std::size_t end_speed = column("end_speed");
  const std::size_t steps = column("steps");
  for (std::size_t i = 0; i < runs; ++i) {
    const double* const row = result.scalars.data() + i * scalars().size();
    answers[i] = {row[end_time],  row[contact_time],
                  row[lock_time], row[end_speed],
                  row[steps],     result.status[i] == RunStatus::finished ? 1. : 0.};
  }
}

// The widest form of lanes `sweep` would use now, 1 where it runs launches one by one.
int bench_lanes() {
#ifdef LAYSHAFT_BENCH_HAS_LANES
  return static_cast<int>(lane_form(0).width);
#else
  return 1;
#endif
}

void bench_open(int problem, const Setting* setting) {
  the_problem = static_cast<Which>(problem);
  if (is_launch(the_problem)) {
    the_course = std::make_unique<Course<LaunchProblem>>(
        LaunchProblem(with_setting(base_of(the_problem), *setting)));
  } else {
    the_course = std::make_unique<Course<ClutchesProblem>>(ClutchesProblem());
  }
}
int bench_size() { return the_course->size(); }
void bench_scale(double* out) { the_course->scale(out); }
int bench_begin() { return the_course->begin() ? 1 : 0; }
double bench_time() { return the_course->time(); }
double bench_stretch_end() { return the_course->stretch_end(); }
void bench_state(double* out) { std::copy_n(the_course->state(), the_course->size(), out); }
void bench_rates(double time, const double* state, double* out) {
  the_course->rates(time, state, out);
}
void bench_jacobian(double time, const double* state, double* out) {
  the_course->jacobian(time, state, out);
}
int bench_guard_count() { return the_course->guard_count(); }
void bench_guards(double time, const double* state, double* out) {
  the_course->guards(time, state, out);
}
// The least of all guards: continuous, and falls through zero where the first of them does.
double bench_guard(double time, const double* state) {
  std::array<double, 64> values;
  the_course->guards(time, state, values.data());
  return *std::min_element(values.begin(), values.begin() + the_course->guard_count());
}
int bench_stop(double time, const double* state, int at_root) {
  return the_course->stop(time, state, at_root != 0) ? 1 : 0;
}
int bench_answer(Answer* answer, double* changes, int most_changes) {
  Run run;
  run.changes = the_course->changes();
  if (is_launch(the_problem)) {
    finish<LaunchProblem>(the_course->state(), the_course->time(), run);
  } else {
    finish<ClutchesProblem>(the_course->state(), the_course->time(), run);
  }
  run.answer.good = the_course->failed() ? 0.0 : 1.0;
  *answer = run.answer;
  return put_changes(run.changes, changes, most_changes);
}

}  // extern "C"
