"""Run the demo car to 60 m through the C interface, without anything but Python; print the time."""

import ctypes
import sys

c = ctypes.CDLL(sys.argv[1])  # .../layshaft/lib/liblayshaft_c.so
c.layshaft_last_error.restype = ctypes.c_char_p
car, number = ctypes.c_void_p(), ctypes.c_double()
assert c.layshaft_create(b"", ctypes.byref(car)) == 0, c.layshaft_last_error()
assert c.layshaft_set(car, b"run.own_driver", ctypes.c_double(1.0)) == 0, c.layshaft_last_error()
assert c.layshaft_reset(car) == 0, c.layshaft_last_error()
assert c.layshaft_step_to(car, ctypes.c_double(5.0), ctypes.byref(number)) == 0
assert c.layshaft_get(car, b"stopwatch", ctypes.byref(number)) == 0, c.layshaft_last_error()
print(repr(number.value))
c.layshaft_destroy(car)
