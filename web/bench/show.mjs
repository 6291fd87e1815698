// A show of many moving heads in haze, all of them circling, for the bench of the picture.

/** The text of a show with so many heads, half wash and half spot, on two trusses. */
export function showOf(count) {
  const washes = Math.ceil(count / 2);
  const spots = count - washes;
  const across = (n) => Array.from({ length: n }, (_, i) => Number((-9.5 + (19 * (i + 0.5)) / n).toFixed(2))).join(', ');
  return `lanthorn = 1

[show]
name = "${count} heads in haze"

[room]
name = "sports hall"
x = [-12, 12]
y = [-18, 8]
height = "7 m"

[[room.platform]]
name = "stage"
x = [-8, 8]
y = [2, 8]
height = "0.6 m"

[[room.audience]]
name = "floor"
x = [-10, 10]
y = [-16, 0]

[[room.mark]]
name = "middle"
at = [0, -6, 0]

[[room.place]]
name = "front truss"
kind = "truss"
middle = [0, -2, 6]
length = "20 m"
rated = "600 kg"

[[room.place]]
name = "back truss"
kind = "truss"
middle = [0, 4, 6]
length = "20 m"
rated = "600 kg"

[[unit]]
numbers = "1-${washes}"
profile = "small wash head"
mode = "14 channels"
place = "front truss"
at = [${across(washes)}]
address = "1.001"

[[unit]]
numbers = "${washes + 1}-${count}"
profile = "small spot head"
mode = "16 channels"
place = "back truss"
at = [${across(spots)}]
address = "2.001"

[[group]]
name = "washes"
units = "1-${washes}"

[[group]]
name = "spots"
units = "${washes + 1}-${count}"

[[figure]]
name = "round"
shape = "circle"
size = "3 m"
speed = "1 m/s"
phase = 1

[[look]]
name = "all circle"

[[look.part]]
who = "washes"
aim = { from = [-9, -8, 0], to = [9, -8, 0] }
colour = ["red", "blue"]
figure = "round"

[[look.part]]
who = "spots"
aim = { from = [-9, -3, 0], to = [9, -3, 0] }
colour = ["white", "cyan"]
gobo = "stars"
figure = "round"
`;
}
