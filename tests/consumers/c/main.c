/* Runs the demo car to 60 m, saves and loads it on the way, and prints the time and the events. */
#include <layshaft/c/layshaft.h>
#include <stdio.h>
#include <stdlib.h>

static void check(layshaft_status status) {
  if (status == LAYSHAFT_OK) return;
  fprintf(stderr, "%s\n", layshaft_last_error());
  exit(1);
}

int main(void) {
  layshaft_car* car = NULL;
  layshaft_car* other = NULL;
  double time = 0.0;
  double distance = 0.0;
  double stopwatch = 0.0;
  size_t bytes = 0;
  void* state;
  layshaft_event event = {.size = sizeof event};

  check(layshaft_create("two_speed.gap = \"4.6 mm\"", &car));
  check(layshaft_set_text(car, "two_speed.gap", "4.4 mm"));
  check(layshaft_set(car, "run.own_driver", 1.0));
  check(layshaft_set(car, "run.keep_changes", 1.0));
  check(layshaft_reset(car));
  check(layshaft_step_to_event(car, 5.0, &time));
  check(layshaft_step_to(car, 1.234, &time));

  check(layshaft_state_size(car, &bytes));
  state = malloc(bytes);
  check(layshaft_save(car, state, bytes));
  check(layshaft_create(NULL, &other));
  check(layshaft_load(other, state, bytes));
  free(state);
  layshaft_destroy(car);

  while (distance < 60.0) {
    check(layshaft_step_to(other, time + 0.017, &time));
    check(layshaft_get(other, "car_distance", &distance));
  }
  check(layshaft_get(other, "stopwatch", &stopwatch));
  check(layshaft_get_event(other, layshaft_event_count(other) - 1, &event));
  printf("%.17g\n%.17g %s %d %d %s\n", stopwatch, event.time, event.part, event.from, event.to,
         event.cause);

  if (layshaft_set(other, "throttle", 2.0) != LAYSHAFT_BAD_INPUT) return 1;
  printf("%s\n", layshaft_last_error());
  layshaft_destroy(other);
  return 0;
}
