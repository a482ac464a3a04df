#pragma once

/// Solvers of single steps without root finding of their own: Hairer's and Wanner's Fortran codes
/// with their dense output, and GSL's steppers, whose states inside a step are shorter steps.

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>

#include <algorithm>
#include <memory>
#include <vector>

#include "layshaft/network/rosenbrock.hpp"
#include "rival.hpp"
#include "step_watch.hpp"

extern "C" {
using FortranRates = void(const int* size, const double* time, const double* state, double* out,
                          double*, int*);
using FortranJacobian = void(const int* size, const double* time, const double* state, double* out,
                             const int* rows, double*, int*);
using Dopri5Step = void(int* number, double* begin, double* end, double* state, int* size,
                        double* dense, int* which, int* dense_size, double*, int*, int* stop);
using RodasStep = void(int* number, double* begin, double* end, double* state, double* dense,
                       int* dense_size, int* size, double*, int*, int* stop);
void dopri5_(int* size, FortranRates* rates, double* time, double* state, double* end,
             double* relative, double* absolute, int* per_state, Dopri5Step* step, int* output,
             double* work, int* work_size, int* counts, int* counts_size, double*, int*, int* done);
double contd5_(int* which, const double* time, double* dense, int* states, int* dense_size);
void rodas_(int* size, FortranRates* rates, int* by_time, double* time, double* state, double* end,
            double* step_size, double* relative, double* absolute, int* per_state,
            FortranJacobian* jacobian, int* has_jacobian, int* lower, int* upper,
            FortranRates* slope, int* has_slope, void* mass, int* has_mass, int* mass_lower,
            int* mass_upper, RodasStep* step, int* output, double* work, int* work_size,
            int* counts, int* counts_size, double*, int*, int* done);
double contro_(int* which, const double* time, double* dense, int* dense_size);
}

namespace layshaft::bench {

/// The Fortran codes know no user data: the run under way is the only one. One thread.
class Hairer final : public Rival {
 public:
  enum class Kind { dopri5, rodas, rodas4p };

  Hairer(const AnyCourse& course, Kind kind, Work work)
      : kind_(kind),
        work_kind_(work),
        size_(course.size()),
        state_(at(size_)),
        absolute_(at(size_)),
        relative_(at(size_)),
        work_(at(2 * size_ * size_ + 30 * size_ + 50)),
        counts_(at(size_ + 50)) {}

  [[nodiscard]] long run(AnyCourse& course, double tolerance) override {
    course_ = &course;
    running_ = this;
    StepWatch watch(course, work_kind_);
    watch_ = &watch;
    course.scale(absolute_.data());
    for (double& weight : absolute_) weight *= tolerance;
    std::fill(relative_.begin(), relative_.end(), tolerance);
    long steps = 0;
    for (bool going = true; going;) {
      std::copy_n(course.state(), size_, state_.data());
      double time = course.time();
      fell_ = false;
      const int done = integrate(time, course.stretch_end());
      if (done < 0) return -1;
      steps += counts_[kind_ == Kind::dopri5 ? 17 : 15];
      going = fell_ ? course.stop(watch.time(), watch.state(), true)
                    : course.stop(time, state_.data(), false);
    }
    return course.failed() ? -1 : steps;
  }

 private:
  [[nodiscard]] static std::size_t at(int index) { return static_cast<std::size_t>(index); }

  [[nodiscard]] int integrate(double& time, double end) {
    std::fill_n(work_.begin(), 20, 0.0);
    std::fill_n(counts_.begin(), 20, 0);
    counts_[0] = 100'000'000;
    int per_state = 1;
    int work_size = static_cast<int>(work_.size());
    int counts_size = static_cast<int>(counts_.size());
    int done = 0;
    if (kind_ == Kind::dopri5) {
      int dense_output = 2;
      work_[5] = kLongestStep;
      counts_[4] = size_;  // all states have dense output
      dopri5_(&size_, &rates, &time, state_.data(), &end, relative_.data(), absolute_.data(),
              &per_state, &see_dopri5, &dense_output, work_.data(), &work_size, counts_.data(),
              &counts_size, nullptr, nullptr, &done);
      return done;
    }
    int yes = 1;
    int no = 0;
    double first_step = kFirstStep;
    work_[1] = kLongestStep;
    counts_[1] = kind_ == Kind::rodas4p ? 3 : 1;
    rodas_(&size_, &rates, &yes, &time, state_.data(), &end, &first_step, relative_.data(),
           absolute_.data(), &per_state, &jacobian, &yes, &size_, &size_, &time_slope, &yes,
           nullptr, &no, &no, &no, &see_rodas, &yes, work_.data(), &work_size, counts_.data(),
           &counts_size, nullptr, nullptr, &done);
    return done;
  }

  static void rates(const int*, const double* time, const double* state, double* out, double*,
                    int*) {
    running_->course_->rates(*time, state, out);
  }
  // RODAS asks for both at the same place, the Jacobian first.
  static void jacobian(const int*, const double* time, const double* state, double* out, const int*,
                       double*, int*) {
    running_->slopes_.resize(at(running_->size_));
    running_->course_->jacobian(*time, state, out, running_->slopes_.data());
    running_->slopes_time_ = *time;
  }
  static void time_slope(const int* size, const double* time, const double* state, double* out,
                         double*, int*) {
    Hairer& self = *running_;
    if (self.slopes_.empty() || self.slopes_time_ != *time) {
      self.unused_.resize(at(*size * *size));
      self.slopes_.resize(at(*size));
      self.course_->jacobian(*time, state, self.unused_.data(), self.slopes_.data());
    }
    std::copy_n(self.slopes_.data(), *size, out);
    self.slopes_time_ = -1.0;
  }
  static void see_dopri5(int* number, double* begin, double* end, double* state, int* size,
                         double* dense, int* which, int* dense_size, double*, int*, int* stop) {
    if (*number == 1) return;  // the start, before any step
    running_->see(*begin, *end, state, *stop, [=](double time, double* out) {
      for (int i = 1; i <= *size; ++i) out[i - 1] = contd5_(&i, &time, dense, which, dense_size);
    });
  }
  static void see_rodas(int* number, double* begin, double* end, double* state, double* dense,
                        int* dense_size, int* size, double*, int*, int* stop) {
    if (*number == 1) return;
    running_->see(*begin, *end, state, *stop, [=](double time, double* out) {
      for (int i = 1; i <= *size; ++i) out[i - 1] = contro_(&i, &time, dense, dense_size);
    });
  }
  template <class Inside>
  void see(double begin, double end, const double* state, int& stop, const Inside& inside) {
    fell_ = watch_->falls(begin, end, state, inside);
    stop = fell_ ? -1 : 1;
  }

  static constexpr double kFirstStep = 1e-2;  // [s], as the library's
  static inline Hairer* running_ = nullptr;

  Kind kind_;
  Work work_kind_;
  int size_;
  AnyCourse* course_ = nullptr;
  StepWatch* watch_ = nullptr;
  bool fell_ = false;
  std::vector<double> state_;
  std::vector<double> absolute_;
  std::vector<double> relative_;
  std::vector<double> work_;
  std::vector<int> counts_;
  std::vector<double> slopes_;
  double slopes_time_ = -1.0;
  std::vector<double> unused_;
};

/// GSL's evolution with its own step control. Raw work only: it has no dense output.
class Gsl final : public Rival {
 public:
  Gsl(const AnyCourse& course, const gsl_odeiv2_step_type* type)
      : size_(static_cast<std::size_t>(course.size())),
        type_(type),
        step_(gsl_odeiv2_step_alloc(type, size_)),
        short_step_(gsl_odeiv2_step_alloc(type, size_)),
        evolve_(gsl_odeiv2_evolve_alloc(size_)),
        state_(size_),
        before_(size_),
        error_(size_),
        scale_(size_) {}

  [[nodiscard]] long run(AnyCourse& course, double tolerance) override {
    course.scale(scale_.data());
    const std::unique_ptr<gsl_odeiv2_control, Free> control(
        gsl_odeiv2_control_scaled_new(tolerance, tolerance, 1.0, 0.0, scale_.data(), size_));
    StepWatch watch(course, Work::raw);
    gsl_odeiv2_system system{&rates, nullptr, size_, &course};
    double step = kFirstStep;
    long steps = 0;
    for (bool going = true; going;) {
      std::copy_n(course.state(), size_, state_.data());
      gsl_odeiv2_evolve_reset(evolve_.get());
      gsl_odeiv2_step_reset(step_.get());
      double time = course.time();
      const double end = course.stretch_end();
      step = std::min(step, kFirstStep);
      bool fell = false;
      while (time < end && !fell) {
        before_ = state_;
        const double begin = time;
        step = std::min(step, kLongestStep);
        if (gsl_odeiv2_evolve_apply(evolve_.get(), control.get(), step_.get(), &system, &time, end,
                                    &step, state_.data()) != GSL_SUCCESS) {
          return -1;
        }
        ++steps;
        fell = watch.falls(begin, time, state_.data(), [&](double inside, double* out) {
          std::copy(before_.begin(), before_.end(), out);
          if (inside > begin) {
            gsl_odeiv2_step_apply(short_step_.get(), begin, inside - begin, out, error_.data(),
                                  nullptr, nullptr, &system);
          }
        });
      }
      going = fell ? course.stop(watch.time(), watch.state(), true)
                   : course.stop(time, state_.data(), false);
    }
    return course.failed() ? -1 : steps;
  }

 private:
  struct Free {
    void operator()(gsl_odeiv2_step* step) const { gsl_odeiv2_step_free(step); }
    void operator()(gsl_odeiv2_evolve* evolve) const { gsl_odeiv2_evolve_free(evolve); }
    void operator()(gsl_odeiv2_control* control) const { gsl_odeiv2_control_free(control); }
  };
  static int rates(double time, const double* state, double* out, void* course) {
    static_cast<AnyCourse*>(course)->rates(time, state, out);
    return GSL_SUCCESS;
  }

  static constexpr double kFirstStep = 1e-2;  // [s], as the library's

  std::size_t size_;
  const gsl_odeiv2_step_type* type_;
  std::unique_ptr<gsl_odeiv2_step, Free> step_;
  std::unique_ptr<gsl_odeiv2_step, Free> short_step_;
  std::unique_ptr<gsl_odeiv2_evolve, Free> evolve_;
  std::vector<double> state_;
  std::vector<double> before_;
  std::vector<double> error_;
  std::vector<double> scale_;
};

}  // namespace layshaft::bench
