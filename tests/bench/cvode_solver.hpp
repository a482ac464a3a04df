#pragma once

/// SUNDIALS CVODE on a course: root finding on the guards, analytic Jacobian, dense factors.

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_config.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <stdexcept>

#include "course.hpp"

namespace layshaft::bench {

enum class Multistep { bdf, adams };

/// Memory of the solver, kept from run to run. BDF solves by Newton's method with the analytic
/// Jacobian, Adams by fixed-point iteration, as is usual for each.
class CvodeSolver {
 public:
  CvodeSolver(int size, Multistep method) : size_(size) {
#if SUNDIALS_VERSION_MAJOR >= 7
    SUNContext_Create(SUN_COMM_NULL, &context_);
#else
    SUNContext_Create(nullptr, &context_);
#endif
    state_ = N_VNew_Serial(size, context_);
    weights_ = N_VNew_Serial(size, context_);
    memory_ = CVodeCreate(method == Multistep::bdf ? CV_BDF : CV_ADAMS, context_);
    N_VConst(0.0, state_);
    check(CVodeInit(memory_, &CvodeSolver::rates, 0.0, state_));
    check(CVodeSetMaxNumSteps(memory_, 100'000'000));
    check(CVodeSetMaxStep(memory_, kLongestStep));
    check(CVodeSetUserData(memory_, this));
    check(CVodeSStolerances(memory_, 1e-6, 1e-6));
    if (method == Multistep::bdf) {
      matrix_ = SUNDenseMatrix(size, size, context_);
      linear_ = SUNLinSol_Dense(state_, matrix_, context_);
      check(CVodeSetLinearSolver(memory_, linear_, matrix_));
      check(CVodeSetJacFn(memory_, &CvodeSolver::jacobian));
    } else {
      fixed_point_ = SUNNonlinSol_FixedPoint(state_, 0, context_);
      check(CVodeSetNonlinearSolver(memory_, fixed_point_));
    }
  }
  CvodeSolver(const CvodeSolver&) = delete;
  CvodeSolver& operator=(const CvodeSolver&) = delete;
  ~CvodeSolver() {
    CVodeFree(&memory_);
    if (fixed_point_ != nullptr) SUNNonlinSolFree(fixed_point_);
    if (linear_ != nullptr) SUNLinSolFree(linear_);
    if (matrix_ != nullptr) SUNMatDestroy(matrix_);
    N_VDestroy(weights_);
    N_VDestroy(state_);
    SUNContext_Free(&context_);
  }

  /// Runs a course that has begun to its end; returns the number of steps, or -1 if it failed.
  [[nodiscard]] long run(AnyCourse& course, double tolerance) {
    course_ = &course;
    course.scale(N_VGetArrayPointer(weights_));
    N_VScale(tolerance, weights_, weights_);
    check(CVodeSVtolerances(memory_, tolerance, weights_));
    long steps = 0;
    for (bool running = true; running;) {
      std::copy_n(course.state(), size_, N_VGetArrayPointer(state_));
      check(CVodeReInit(memory_, course.time(), state_));
      check(CVodeRootInit(memory_, course.guard_count(), &CvodeSolver::guards));
      directions_.assign(static_cast<std::size_t>(course.guard_count()), -1);
      check(CVodeSetRootDirection(memory_, directions_.data()));
      check(CVodeSetNoInactiveRootWarn(memory_));
      check(CVodeSetStopTime(memory_, course.stretch_end()));
      double reached = course.time();
      const int flag = CVode(memory_, course.stretch_end(), state_, &reached, CV_NORMAL);
      long taken = 0;
      CVodeGetNumSteps(memory_, &taken);
      steps += taken;
      if (flag < 0) return -1;
      running = course.stop(reached, N_VGetArrayPointer(state_), flag == CV_ROOT_RETURN);
    }
    return course.failed() ? -1 : steps;
  }

 private:
  static void check(int flag) {
    if (flag < 0) throw std::runtime_error("CVODE refused its set-up");
  }
  static const AnyCourse& course_of(void* self) {
    return *static_cast<const CvodeSolver*>(self)->course_;
  }
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

  int size_;
  const AnyCourse* course_ = nullptr;
  SUNContext context_ = nullptr;
  N_Vector state_ = nullptr;
  N_Vector weights_ = nullptr;
  void* memory_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver linear_ = nullptr;
  SUNNonlinearSolver fixed_point_ = nullptr;
  std::vector<int> directions_;
};

}  // namespace layshaft::bench
