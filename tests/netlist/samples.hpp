#pragma once
/// Whole circuit files that the tests read, tidy and damage. Invented vehicles.

#include <string_view>

namespace loomproof::test {

inline constexpr std::string_view light_bar = R"(loom 1
battery, 60 Ah
fuse F1, 20 A
relay K1, 4-pin, 40 A
led E1 "light bar", 120 W
existing wire T1 "main beam, left lamp plug", blue/white, live when "main beam on"

wire from battery:+ to F1,   12 awg red,   about 0.1 m
wire from F1 to K1:30,       12 awg red,   about 2 m
wire from K1:87 to E1:+,     12 awg red,   about 1 m
wire from E1:- to ground,    12 awg black, about 0.5 m
wire from T1 to K1:86,       18 awg blue,  about 1 m
wire from K1:85 to ground,   18 awg black, about 0.3 m
)";

inline constexpr std::string_view fan_on_a_relay = R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
system 12 V, negative ground
metal body
ground GND1 "left inner wing" on body
ground GND2 "radiator support" on body

factory confirmed by "workshop manual" {
  battery, 60 Ah
  alternator G2, 65 A
  switch S1 "ignition" {
    off*
    accessory  connects 30 with 15R
    run        connects 30 with 15R and 15
    start      connects 30 with 15 and 50, springs back
  }
  switch S5 "coolant temperature" { cold* | hot connects 1 with 2 }
  switch S6 "stalk" {
    section lights { off* | side connects 1 with 58 | head connects 1 with 58 and 56 }
    section dip { dip* connects 56 with 56b | main connects 56 with 56a }
  }
  link F9, 14 sae, 0.2 m
  fuse F3, 15 A
  motor M2 "cooling fan", 9 A at 13 V, starts at 27 A
  connector X7 "fan plug", 2 holes, 18 A each

  wire W1  from battery:- to GND1,           16 mm2 BK,    0.4 m
  wire W10 from battery:+ to F9:1,           6 mm2 RD,     0.15 m
  wire W11 from F9:2 to S1:30,               6 mm2 RD,     1.6 m
  wire W12 from S1:15 to F3,                 6 mm2 OG,     0.5 m
  wire W13 from G2:B+ to battery:+,          10 mm2 RD,    1.2 m    // unfused as built: one note
  wire W14 from F3 through X7:1 to M2:+,     1 mm2 BU/WH | BK,  2.1 m + 0.2 m
  wire W16 from M2:- through X7:2 to S5:1,   1 mm2 BK,     0.2 m + 0.6 m
  wire W18 from S5:2 to GND2,                1 mm2 BK,     0.3 m

  expect M2 on  when S1 run, S5 hot
  expect M2 off when S1 off
}

// What follows was done by the owner.
job "Fan on a relay" fitted 2026-05-02 {
  by "owner"
  why "fan circuit ran hot in traffic"
  relay K1, 4-pin, 40 A, resistor 680 ohm
  cut W14 0.15 m from X7:1: W14x stays at X7, W14f stays at F3
  wire from battery:+ to K1:30,    // fused below
      2.5 mm2 RD,
      // the long way round
      about 1.2 m
  remove S6, kept in boot
}
still to wire: K1:85, M2:-
)";

inline constexpr std::string_view as_typed_on_a_phone =
    "Loom 1\r\n"
    "Battery, 60ah\r\n"
    "fuse F1 \xe2\x80\x9cleft kick panel\xe2\x80\x9d,20a\r\n"
    "led E1 \xc2\xabthe \xe2\x80\x98old\xe2\x80\x99 bar\xc2\xbb , 10\xc3\x97"
    "12 w\r\n"
    "\r\n\r\n\r\n"
    "wire from battery:+ to F1 \xe2\x80\x93 front, 2.5\xc2\xa0mm\xc2\xb2 red,about 0.1m\r\n"
    "wire from F1 to E1:\xe2\x88\x92,\t2.5mm2 blue/white , 2 m +0.3m // \xe2\x80\x9cquoted\xe2\x80\x9d\r\n"
    "rail R1 fed from 1: F1\xe2\x80\xa6"
    "F6\r\n"
    "place engine\xe2\x80\x91"
    "bay, \xe2\x88\x92"
    "20 \xc2\xb0"
    "C to 70degC";

inline constexpr std::string_view samples[] = {light_bar, fan_on_a_relay, as_typed_on_a_phone};

} // namespace loomproof::test
