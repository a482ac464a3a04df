/**
 * @file
 * The C interface of Layshaft: a car stepped in time by another program.
 *
 *     layshaft_car* car;
 *     double time;
 *     layshaft_create("two_speed.gap = \"4.6 mm\"", &car);
 *     layshaft_set(car, "run.own_driver", 1.0);
 *     layshaft_reset(car);
 *     layshaft_step_to(car, 5.0, &time);
 *     layshaft_get(car, "stopwatch", &time);
 *     layshaft_destroy(car);
 *
 * Variables have names: the car's settings ("two_speed.gap"), those of the run ("run.own_driver"),
 * the inputs "throttle", "brake" and "grade", and the outputs ("crank_speed"). `layshaft_describe`
 * goes through all of them. Values are in SI units and radians.
 *
 * Every function that can fail returns a status; `layshaft_last_error` says what was wrong. After a
 * failure nothing has changed: the car is as before the call, and so is what its pointers point to,
 * but for `reached` of a step that stopped. No function throws or ends the program. Different cars
 * may be used on different threads at once, one car on one thread at a time.
 */
#ifndef LAYSHAFT_C_LAYSHAFT_H
#define LAYSHAFT_C_LAYSHAFT_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

#if defined(_WIN32)
#define LAYSHAFT_API
#else
#define LAYSHAFT_API __attribute__((visibility("default")))
#endif

/** A car with its run. */
typedef struct layshaft_car layshaft_car;

/** What became of a call. Codes are never given another meaning; there may be more. */
typedef enum layshaft_status {
  LAYSHAFT_OK = 0,
  LAYSHAFT_BAD_INPUT = 1, /**< Refused; the message names field, value and bound. */
  LAYSHAFT_STOPPED = 2,   /**< The run cannot go on to there, or not with these inputs. */
  LAYSHAFT_NO_MEMORY = 3,
  LAYSHAFT_FAULT = 4 /**< A fault of the library. */
} layshaft_status;

typedef enum layshaft_role {
  LAYSHAFT_PARAMETER = 0, /**< Counts from the next `layshaft_reset` on. */
  LAYSHAFT_INPUT = 1,     /**< Counts at once, and is held until it is set again. */
  LAYSHAFT_OUTPUT = 2     /**< Read only. */
} layshaft_role;

typedef enum layshaft_kind {
  LAYSHAFT_NUMBER = 0,
  LAYSHAFT_COUNT = 1,  /**< A whole number. */
  LAYSHAFT_CHOICE = 2, /**< The position of one of several names. */
  LAYSHAFT_YES_NO = 3  /**< 0 or 1. */
} layshaft_kind;

/**
 * What is known of a variable. Set `size` to `sizeof` of it before the call: a later library may
 * know more members and then fills no more than that.
 */
typedef struct layshaft_variable {
  size_t size;
  const char* name; /**< Lives as long as the library, as all texts here. */
  const char* unit; /**< SI unit; "1" for a ratio. */
  const char* meaning;
  const char* choices; /**< Names of a choice in order, with blanks between; else empty. */
  layshaft_role role;
  layshaft_kind kind;
  double fallback; /**< Of the demo car; 0 for outputs. */
  double minimum;  /**< Inclusive. */
  double maximum;  /**< Inclusive. */
} layshaft_variable;

/** One change of what a part does. Set `size` as above. */
typedef struct layshaft_event {
  size_t size;
  double time;      /**< [s] */
  const char* part; /**< "clutch", "first", "second", ..., "shoe_1", ... */
  int is_switch;    /**< 1: `from` and `to` are positions; 0: they are modes. */
  int from;
  int to;
  const char* cause; /**< In words. */
} layshaft_event;

/** A number that was learned, with the ends of its 95 % interval. */
typedef struct layshaft_interval {
  double value;
  double low;
  double high;
} layshaft_interval;

/** How a fit ended. */
typedef enum layshaft_fit_end {
  LAYSHAFT_SETTLED = 0, /**< At its best, or as near as the bounds allow. */
  LAYSHAFT_ROUGH = 1,   /**< Within a thousandth of it: jumps of what a car shows hide the rest. */
  LAYSHAFT_MOST_LOOKS = 2 /**< Not yet there. */
} layshaft_fit_end;

/** Version of the library, `major.minor.patch`. */
LAYSHAFT_API const char* layshaft_version(void);

/** What was wrong with the last call that failed on this thread; empty before the first. */
LAYSHAFT_API const char* layshaft_last_error(void);

/**
 * Makes a car at its start. `setup` has one setting a line, `two_speed.gap = "4.6 mm"`, numbers
 * without unit in SI; what it leaves out, or a null pointer, is the demo car. Of a torque curve of
 * more than 16 points those are kept that describe it best; it is refused if a point left out is
 * off by more than 1 % of the greatest torque.
 */
LAYSHAFT_API layshaft_status layshaft_create(const char* setup, layshaft_car** car);

/** Frees a car; a null pointer is left alone. */
LAYSHAFT_API void layshaft_destroy(layshaft_car* car);

/** Number of variables, and what is known of each. */
LAYSHAFT_API size_t layshaft_variable_count(void);
LAYSHAFT_API layshaft_status layshaft_describe(size_t number, layshaft_variable* variable);

/** Number of the variable of a name. */
LAYSHAFT_API layshaft_status layshaft_find(const char* name, size_t* number);

/**
 * Sets a parameter or an input, the latter at the present time. A name such as "two_speed.gap",
 * which stands for both shoes, sets both.
 */
LAYSHAFT_API layshaft_status layshaft_set(layshaft_car* car, const char* name, double value);

/** The same with a unit or the name of a choice: "4.6 mm", "thrown_shoes". */
LAYSHAFT_API layshaft_status layshaft_set_text(layshaft_car* car, const char* name,
                                               const char* value);

/**
 * Reads any variable; outputs at the present time. A name that stands for both shoes is refused
 * where they differ.
 */
LAYSHAFT_API layshaft_status layshaft_get(layshaft_car* car, const char* name, double* value);

/** The same for many, by their numbers: `values` has room for `count`. */
LAYSHAFT_API layshaft_status layshaft_get_many(layshaft_car* car, const size_t* numbers,
                                               size_t count, double* values);

/**
 * Learns parameters from what the car did in launches from rest to 60 m, and sets them and what
 * goes up and down with them; `layshaft_reset` starts a run with them. `question` has lines of two
 * kinds,
 *
 *     unknown two_speed.zero_preload_reading 1.5e-4
 *     seen shift_speed 18.6 0.56 two_speed.gap 4.2e-3
 *
 * the first for each parameter to learn, with the standard deviation of what is set now; the second
 * for each number seen: an output of a launch or "time", its value and standard deviation, and the
 * settings that were others than the car's. `learned` has room for `count`, one for each of the
 * first kind in their order. Takes some hundred launches, on all cores.
 */
LAYSHAFT_API layshaft_status layshaft_learn(layshaft_car* car, const char* question,
                                            layshaft_interval* learned, size_t count,
                                            layshaft_fit_end* end);

/** Back to the start, time 0, with the parameters and inputs as they are set now. */
LAYSHAFT_API layshaft_status layshaft_reset(layshaft_car* car);

/**
 * Goes on to a time [s], from the present to 1e6. The step sizes chosen here change no bit of the
 * result. Where the run cannot go on that far, `reached` says how far it can, and the car stays.
 */
LAYSHAFT_API layshaft_status layshaft_step_to(layshaft_car* car, double time, double* reached);

/** The same, but stops at the next event. */
LAYSHAFT_API layshaft_status layshaft_step_to_event(layshaft_car* car, double time,
                                                    double* reached);

/**
 * Events of the last step and of the inputs set before and after it, the newest 1024 at least;
 * where "run.keep_changes" is 1 all since the start until now, in memory that grows with them.
 */
LAYSHAFT_API size_t layshaft_event_count(const layshaft_car* car);
LAYSHAFT_API layshaft_status layshaft_get_event(const layshaft_car* car, size_t number,
                                                layshaft_event* event);

/**
 * The complete state, with the parameters that the run was started with, as bytes. Loaded by the
 * same version of the library on the same kind of machine, into any car, it goes on with the same
 * bits. Events belong to it where they are kept.
 */
LAYSHAFT_API layshaft_status layshaft_state_size(layshaft_car* car, size_t* bytes);
LAYSHAFT_API layshaft_status layshaft_save(layshaft_car* car, void* state, size_t bytes);
LAYSHAFT_API layshaft_status layshaft_load(layshaft_car* car, const void* state, size_t bytes);

#ifdef __cplusplus
}
#endif

#endif
