#pragma once

/// SUNDIALS on a course: CVODES and ARKODE with their own root finding on the guards.

#include <arkode/arkode_arkstep.h>
#include <arkode/arkode_erkstep.h>
#include <cvodes/cvodes.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <algorithm>
#include <memory>
#include <stdexcept>
#include <type_traits>
#include <vector>

#include "layshaft/network/rosenbrock.hpp"
#include "rival.hpp"

namespace layshaft::bench {

inline void must(int flag) {
  if (flag < 0) throw std::runtime_error("SUNDIALS refused its set-up");
}

/// Deleters of SUNDIALS' objects.
struct SundialsFree {
  void operator()(N_Vector vector) const { N_VDestroy(vector); }
  void operator()(SUNMatrix matrix) const { SUNMatDestroy(matrix); }
  void operator()(SUNLinearSolver solver) const { SUNLinSolFree(solver); }
  void operator()(SUNNonlinearSolver solver) const { SUNNonlinSolFree(solver); }
  void operator()(SUNContext context) const { SUNContext_Free(&context); }
};
template <class Handle>
using SundialsOwned = std::unique_ptr<std::remove_pointer_t<Handle>, SundialsFree>;

/// What all of SUNDIALS' solvers share: vectors, and a course behind the callbacks.
class Sundials : public Rival {
 public:
  explicit Sundials(const AnyCourse& course)
      : size_(course.size()), context_(make_context()), state_(vector()), weights_(vector()) {
    N_VConst(0.0, state_.get());
  }

  [[nodiscard]] long run(AnyCourse& course, double tolerance) override {
    course_ = &course;
    course.scale(N_VGetArrayPointer(weights_.get()));
    N_VScale(tolerance, weights_.get(), weights_.get());
    weigh(tolerance);
    long steps = 0;
    for (bool running = true; running;) {
      std::copy_n(course.state(), size_, N_VGetArrayPointer(state_.get()));
      directions_.assign(static_cast<std::size_t>(course.guard_count()), -1);
      begin_stretch();
      double reached = course.time();
      const int flag = advance(reached);
      if (flag < 0) return -1;
      steps += steps_taken();
      const bool at_root = flag == CV_ROOT_RETURN;
      running = course.stop(reached, N_VGetArrayPointer(state_.get()), at_root);
    }
    return course.failed() ? -1 : steps;
  }

 protected:
  virtual void weigh(double tolerance) = 0;
  virtual void begin_stretch() = 0;
  [[nodiscard]] virtual int advance(double& reached) = 0;
  [[nodiscard]] virtual long steps_taken() = 0;

  /// The library's own factors behind SUNDIALS' interface, where `own`; else its dense ones.
  void use_matrix(bool own) {
    matrix_.reset(SUNDenseMatrix(size_, size_, context_.get()));
    if (!own) {
      linear_.reset(SUNLinSol_Dense(state_.get(), matrix_.get(), context_.get()));
      return;
    }
    linear_.reset(SUNLinSolNewEmpty(context_.get()));
    linear_->content = this;
    linear_->ops->gettype = [](SUNLinearSolver) { return SUNLINEARSOLVER_DIRECT; };
    linear_->ops->initialize = [](SUNLinearSolver) -> SUNErrCode { return SUN_SUCCESS; };
    linear_->ops->free = [](SUNLinearSolver solver) -> SUNErrCode {
      solver->content = nullptr;
      SUNLinSolFreeEmpty(solver);
      return SUN_SUCCESS;
    };
    linear_->ops->setup = [](SUNLinearSolver solver, SUNMatrix matrix) -> int {
      static_cast<Sundials*>(solver->content)->course_->factorise(SUNDenseMatrix_Data(matrix));
      return 0;
    };
    linear_->ops->solve = [](SUNLinearSolver solver, SUNMatrix, N_Vector x, N_Vector right,
                             sunrealtype) -> int {
      N_VScale(1.0, right, x);
      static_cast<Sundials*>(solver->content)->course_->solve(N_VGetArrayPointer(x));
      return 0;
    };
  }

  static AnyCourse& course_of(void* self) { return *static_cast<Sundials*>(self)->course_; }
  static int rates(double time, N_Vector state, N_Vector out, void* self) {
    course_of(self).rates(time, N_VGetArrayPointer(state), N_VGetArrayPointer(out));
    return 0;
  }
  static int jacobian(double time, N_Vector state, N_Vector, SUNMatrix out, void* self, N_Vector,
                      N_Vector, N_Vector) {
    course_of(self).jacobian(time, N_VGetArrayPointer(state), SUNDenseMatrix_Data(out));
    return 0;
  }
  static int guards(double time, N_Vector state, double* out, void* self) {
    course_of(self).guards(time, N_VGetArrayPointer(state), out);
    return 0;
  }
  static int accounts(double time, N_Vector state, N_Vector out, void* self) {
    course_of(self).account_rates(time, N_VGetArrayPointer(state), N_VGetArrayPointer(out));
    return 0;
  }

  [[nodiscard]] static SUNContext make_context() {
    SUNContext context = nullptr;
    must(SUNContext_Create(SUN_COMM_NULL, &context));
    return context;
  }
  [[nodiscard]] N_Vector vector() const { return N_VNew_Serial(size_, context_.get()); }

  int size_;
  AnyCourse* course_ = nullptr;
  SundialsOwned<SUNContext> context_;
  SundialsOwned<N_Vector> state_;
  SundialsOwned<N_Vector> weights_;
  SundialsOwned<SUNMatrix> matrix_;
  SundialsOwned<SUNLinearSolver> linear_;
  SundialsOwned<SUNNonlinearSolver> fixed_point_;
  std::vector<int> directions_;
};

/// BDF solves by Newton's method with the analytic Jacobian, Adams by fixed-point iteration, as is
/// usual for each. Tuned: the library's sparse factors, convergence coefficient .33 and orders up
/// to 4, the best found.
class Cvode final : public Sundials {
 public:
  enum class Kind { bdf, tuned, adams };

  Cvode(const AnyCourse& course, Kind kind, Work work)
      : Sundials(course),
        memory_(CVodeCreate(kind == Kind::adams ? CV_ADAMS : CV_BDF, context_.get())) {
    must(CVodeInit(memory_, &rates, 0.0, state_.get()));
    must(CVodeSetMaxNumSteps(memory_, 100'000'000));
    must(CVodeSetMaxStep(memory_, kLongestStep));
    must(CVodeSetUserData(memory_, this));
    must(CVodeSStolerances(memory_, 1e-6, 1e-6));
    if (kind == Kind::adams) {
      fixed_point_.reset(SUNNonlinSol_FixedPoint(state_.get(), 0, context_.get()));
      must(CVodeSetNonlinearSolver(memory_, fixed_point_.get()));
    } else {
      use_matrix(kind == Kind::tuned);
      must(CVodeSetLinearSolver(memory_, linear_.get(), matrix_.get()));
      must(CVodeSetJacFn(memory_, &jacobian));
    }
    if (kind == Kind::tuned) {
      must(CVodeSetNonlinConvCoef(memory_, 0.33));
      must(CVodeSetMaxOrd(memory_, 4));
    }
    if (work == Work::same && course.account_count() > 0) {
      sums_.reset(N_VNew_Serial(course.account_count(), context_.get()));
      N_VConst(0.0, sums_.get());
      must(CVodeQuadInit(memory_, &accounts, sums_.get()));
    }
  }
  ~Cvode() override { CVodeFree(&memory_); }

 private:
  void weigh(double tolerance) override {
    must(CVodeSVtolerances(memory_, tolerance, weights_.get()));
  }
  void begin_stretch() override {
    must(CVodeReInit(memory_, course_->time(), state_.get()));
    if (sums_) must(CVodeQuadReInit(memory_, sums_.get()));
    must(CVodeRootInit(memory_, course_->guard_count(), &guards));
    must(CVodeSetRootDirection(memory_, directions_.data()));
    must(CVodeSetNoInactiveRootWarn(memory_));
    must(CVodeSetStopTime(memory_, course_->stretch_end()));
  }
  [[nodiscard]] int advance(double& reached) override {
    return CVode(memory_, course_->stretch_end(), state_.get(), &reached, CV_NORMAL);
  }
  [[nodiscard]] long steps_taken() override {
    long steps = 0;
    must(CVodeGetNumSteps(memory_, &steps));
    return steps;
  }

  void* memory_;
  SundialsOwned<N_Vector> sums_;
};

/// Runge-Kutta of ARKODE. ESDIRK436 with the library's sparse factors, convergence coefficient .3
/// and a predictor of the highest degree, the best found; the explicit pairs as they come.
class Arkode final : public Sundials {
 public:
  enum class Kind { esdirk, sofroniou, tsitouras };

  Arkode(const AnyCourse& course, Kind kind)
      : Sundials(course), implicit_(kind == Kind::esdirk), memory_(make()) {
    must(ARKodeSetMaxNumSteps(memory_, 100'000'000));
    must(ARKodeSetMaxStep(memory_, kLongestStep));
    must(ARKodeSetUserData(memory_, this));
    must(ARKodeSStolerances(memory_, 1e-6, 1e-6));
    if (implicit_) {
      use_matrix(true);
      must(ARKStepSetTableNum(memory_, ARKODE_ESDIRK436L2SA_6_3_4, ARKODE_ERK_NONE));
      must(ARKodeSetLinearSolver(memory_, linear_.get(), matrix_.get()));
      must(ARKodeSetJacFn(memory_, &jacobian));
      must(ARKodeSetNonlinConvCoef(memory_, 0.3));
      must(ARKodeSetPredictorMethod(memory_, 1));
    } else {
      must(ERKStepSetTableNum(memory_, kind == Kind::sofroniou ? ARKODE_SOFRONIOU_SPALETTA_5_3_4
                                                               : ARKODE_TSITOURAS_7_4_5));
    }
  }
  ~Arkode() override { ARKodeFree(&memory_); }

 private:
  [[nodiscard]] void* make() {
    return implicit_ ? ARKStepCreate(nullptr, &rates, 0.0, state_.get(), context_.get())
                     : ERKStepCreate(&rates, 0.0, state_.get(), context_.get());
  }
  void weigh(double tolerance) override {
    must(ARKodeSVtolerances(memory_, tolerance, weights_.get()));
  }
  void begin_stretch() override {
    must(implicit_ ? ARKStepReInit(memory_, nullptr, &rates, course_->time(), state_.get())
                   : ERKStepReInit(memory_, &rates, course_->time(), state_.get()));
    must(ARKodeRootInit(memory_, course_->guard_count(), &guards));
    must(ARKodeSetRootDirection(memory_, directions_.data()));
    must(ARKodeSetNoInactiveRootWarn(memory_));
    must(ARKodeSetStopTime(memory_, course_->stretch_end()));
    must(ARKodeGetNumSteps(memory_, &before_));
  }
  [[nodiscard]] int advance(double& reached) override {
    static_assert(ARK_ROOT_RETURN == CV_ROOT_RETURN);
    return ARKodeEvolve(memory_, course_->stretch_end(), state_.get(), &reached, ARK_NORMAL);
  }
  [[nodiscard]] long steps_taken() override {
    long steps = 0;
    must(ARKodeGetNumSteps(memory_, &steps));
    return steps - before_;
  }

  bool implicit_;
  void* memory_;
  long before_ = 0;
};

}  // namespace layshaft::bench
