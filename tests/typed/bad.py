"""A user's script with faults, for type checkers alone: never run."""

import layshaft

car = layshaft.demo_car()
print(car.two_speed.gab)  # fault: no such field
print(car.two_sped.gap)  # fault: no such section
name: str = car.first.pinion  # fault: a number
print(car["two_speed.hold_in"] + 1.0)  # fault: a text
layshaft.launch(car, distnace=30.0)  # fault: no such option
layshaft.lap(car, "club", standin=True)  # fault: no such option of a lap
layshaft.lap(car, 3)  # fault: no track
layshaft.launch(car, track="club")  # fault: no option of a launch
layshaft.lunch(car)  # fault: no such function
car.two_speed.gap = 0.004  # fault: a car is immutable
layshaft.launch("car.toml")  # fault: no car
layshaft.launch(car, on_failure="ignore")  # fault: no such choice
for move in layshaft.recommend(car).movs:  # fault: no such result
    print(move)
