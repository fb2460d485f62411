#!/usr/bin/env python3
"""Every key of the plan counts: for each one that `ampturn explain --markdown` lists there is a plan below in which another
value changes what some command computes. Keys that only name, describe or sign something are listed as labels, and must show
up somewhere. no_dead_key_test.py AMPTURN AMPTURN_SIM SOURCE_DIR WORK_DIR"""

import concurrent.futures
import functools
import os
import pathlib
import re
import shutil
import socket
import subprocess
import sys
import time
import unittest

AMPTURN, AMPTURN_SIM, SOURCE, WORK = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3]), pathlib.Path(sys.argv[4])

PLAN = (SOURCE / "demo/quick.toml").read_text()

# Plans on top of demo/quick.toml: text put behind it, and replacements in it.
CAPACITORS = "\n[driver.capacitors]\ncapacitance_f = [8e-7, 1e-7]\nrated_v_peak = [900, 900]\nbleed_resistor_ohm = 1e5\n"
VARIANTS = {
    "quick": [],
    "tuned": [("\n[battery]", CAPACITORS + "\n[battery]")],
    "low_rating": [("\n[battery]", CAPACITORS.replace("900, 900", "60, 60") + "\n[battery]")],
    "dc_dc": [("current_limit_a = 12", "current_limit_a = 12\nsupply = \"dc_dc\"\nbus_v = 60\ndc_dc_limit_w = 150")],
    "limited": [("current_limit_a = 12", "current_limit_a = 6"), ("current_a_peak = 10", "current_a_peak = 7")],
    "latched": [("current_limit_a = 12", "current_limit_a = 6\ncurrent_limit = \"latched\""), ("current_a_peak = 10", "current_a_peak = 7")],
    "quadrature": [("current_limit_a = 12", "current_limit_a = 12\nboth_loops = true")],
    "skewed": [("current_limit_a = 12", "current_limit_a = 12\nboth_loops = true"), ("azimuth_deg = 90", "azimuth_deg = 82"),
               ("\n[battery]", CAPACITORS + "\n[battery]")],
    "small_battery": [("capacity_ah = 20", "capacity_ah = 0.14\nsets_carried = 3")],
    "two_sites": [("[[station]]\nname = \"far\"", "[[site]]\nname = \"U\"\nx_m = 900\ny_m = 0\n\n[[station]]\nname = \"far\"\n"
                                                   "site = \"U\"")],
    "geographic": [("x_m = 0\ny_m = 0", "latitude_deg = 47\nlongitude_deg = 8")],
    "geographic_stations": [("x_m = 0\ny_m = 0", "latitude_deg = 47\nlongitude_deg = 8"),
                            ("offset_m = 350\nbearing_deg = 40", "latitude_deg = 47.003\nlongitude_deg = 8.002")],
    "local_stations": [("offset_m = 350\nbearing_deg = 40", "x_m = 300\ny_m = 200")],
    "mapped": [("x_m = 0\ny_m = 0", "latitude_deg = 47\nlongitude_deg = 8"),
               ("\n[receiver]", "\n[areas]\ntracks_geojson = \"TRACK\"\n\n[terrain]\nelevation_grid = \"HILL\"\n\n[receiver]")],
    "polarisable": [("\n[[site]]", "\n[[earth.polarisable]]\nlayer = 1\nchargeability = 0.5\ntime_constant_s = 0.001\n"
                                   "exponent = 0.5\n\n[[site]]")],
    "own_ground": [("bearing_deg = 40\n\n[loop.a]", "bearing_deg = 40\nground = \"bog\"\n\n[loop.a]"),
                   ("\n[receiver]", "\n[[ground]]\nname = \"bog\"\nresistivity_ohm_m = [30, 300]\nthickness_m = [10]\n\n"
                                    "[[ground.polarisable]]\nlayer = 1\nchargeability = 0.5\ntime_constant_s = 0.001\n"
                                    "exponent = 0.5\n\n[[ground]]\nname = \"rock\"\nresistivity_ohm_m = [900]\n\n[receiver]")],
    "own_sensors": [("bearing_deg = 40\n\n[loop.a]", "bearing_deg = 40\nsensors = \"light\"\n\n[loop.a]"),
                    ("\n[receiver]", "\n[[sensors]]\nname = \"light\"\ncoil = \"custom\"\ncoil_a_pt = 10\n"
                                     "coil_floor_pt_per_rthz = 0.01\ncoil_b_pt_per_hz = 1e-8\n\n[[sensors]]\nname = \"heavy\"\n"
                                     "dipole_m = 20\n\n[receiver]")],
    "class_sensors": [("bearing_deg = 40\n\n[loop.a]", "bearing_deg = 40\nsensors = \"light\"\n\n[loop.a]"),
                      ("\n[receiver]", "\n[[sensors]]\nname = \"light\"\ncoil = \"medium\"\n\n[receiver]")],
    "own_interferer": [("bearing_deg = 40\n\n[loop.a]", "bearing_deg = 40\n\n[[station.interferer]]\nname = \"fence\"\n"
                        "frequency_hz = 2827\nhalf_width_hz = 2\nb_nt = 0.5\n\n[loop.a]")],
    "crews": [("bearing_deg = 40\n\n[loop.a]", "bearing_deg = 40\ncrew = \"Sorrel\"\n\n[loop.a]"),
              ("\n[receiver]", "\n[[receiver_crew]]\nname = \"Juniper\"\nset_up_min = 80\npack_up_min = 30\nsensor_sets = 1\n\n"
                               "[[receiver_crew]]\nname = \"Sorrel\"\npeople = 2\n\n[receiver]")],
    "one_crew": [("\n[receiver]", "\n[[receiver_crew]]\nname = \"Juniper\"\nsensor_sets = 1\n\n[receiver]")],
    "power_line": [("\n[receiver]", "\n[[power_line]]\nname = \"farm\"\nx_y_m = [[-900, 300], [900, 300]]\nmains_b_nt = 9\n"
                                    "at_distance_m = 40\nfall_off_exponent = 1\n\n[targets]\nrho_bias_percent = 40\nphase_bias_deg = 60\n"
                                    "near_field_bias_deg = 80\n\n[receiver]"),
                   ("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [9950, 25450]")],
    "power_line_map": [("x_m = 0\ny_m = 0", "latitude_deg = 47\nlongitude_deg = 8"),
                       ("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [9950, 25450]"),
                       ("\n[receiver]", "\n[[power_line]]\nname = \"farm\"\nlongitude_latitude_deg = [[8.004, 46.9], [8.004, 47.1]]\n"
                                        "mains_b_nt = 9\nat_distance_m = 40\nfall_off_exponent = 1\n\n[receiver]")],
    "steps": [("frequencies_hz = [975, 2825, 8525, 25475]\n", ""),
              ("\n[receiver]", "\n[[sweep.step]]\nfrequency_hz = 2825\n\n[[sweep.step]]\nfrequency_hz = 8525\n\n[receiver]")],
    "interferer": [("\n[receiver]", "\n[[noise.interferer]]\nname = \"pump\"\nfrequency_hz = 2827\nhalf_width_hz = 2\n"
                                    "b_nt = 0.5\n\n[receiver]")],
    "spectrum": [("\n[receiver]", f"\n[noise]\nspectrum_csv = \"{WORK}/spectrum.csv\"\n\n[receiver]")],
    "days": [("cut_off_v = 22", "cut_off_v = 22\nsets_carried = 2\nstate_of_charge = [0.4, 0.3]"),
             ("\n[receiver]", "\n[[survey_day]]\ndate = 2031-06-02\nstations = [\"near\"]\n\n[[survey_day]]\ndate = 2031-06-03\n\n"
                              "[charging]\ncharger_w = 100\nhours = 3\nsupply = \"generator\"\nsupply_w = 500\nsupply_wh = 900\n\n[receiver]")],
    "leg": [("\n[receiver]", "\n[[day.leg]]\nfrom = \"near\"\nto = \"far\"\nminutes = 20\n\n[receiver]")],
    "warm": [("\n[receiver]", "\n[day]\ntemperature_hour = [6, 18]\ntemperature_c = [10, 20]\n\n[receiver]")],
    "dated": [("invented = true", "invented = true\ndate = 2031-03-12")],
    "short": [("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [8525]"), ("dwell_s = 10", "dwell_s = 2")],
    "grounds": [("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [8525]"), ("dwell_s = 10", "dwell_s = 2"), ("\n[receiver]", "\n[question]\ntext = \"Is it there?\"\nkind = \"two_grounds\"\n\n[question.with_target]\n"
                                 "resistivity_ohm_m = [100, 200, 400]\nthickness_m = [30, 10]\n\n"
                                 "[[question.with_target.polarisable]]\nlayer = 2\nchargeability = 0.3\n"
                                 "time_constant_s = 0.001\nexponent = 0.5\n\n[receiver]")],
    "depth": [("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [8525]"), ("dwell_s = 10", "dwell_s = 2"), ("\n[receiver]", "\n[question]\ntext = \"How deep?\"\nkind = \"depth\"\ninterface = 1\nwithin_m = 3\n\n[receiver]")],
    "sagging": [("cut_off_v = 22", "cut_off_v = 27\ncell_resistance_ohm = 0.05")],
    "far_off": [("offset_m = 350", "offset_m = 450"), ("\n[receiver]", "\n[noise]\nnatural_factor = 3\n\n[receiver]")],
    "far_off_steps": [("offset_m = 350", "offset_m = 450"), ("frequencies_hz = [975, 2825, 8525, 25475]\n", ""),
                      ("\n[receiver]", "\n[[sweep.step]]\nfrequency_hz = 25475\n\n[noise]\nnatural_factor = 3\n\n[receiver]")],
    "hot": [("\n[receiver]", "\n[thermal]\nelectronics_limit_c = 20\nrestart_margin_k = 1\n\n[receiver]")],
    "small_swap": [("capacity_ah = 20", "capacity_ah = 0.3\nsets_carried = 3"),
                   ("\n[receiver]", "\n[day]\nswap_rule = \"between_sweeps\"\n\n[receiver]")],
    "steps_tuned": [("\n[battery]", CAPACITORS + "\n[battery]"), ("frequencies_hz = [975, 2825, 8525, 25475]\n", ""),
                    ("\n[receiver]", "\n[[sweep.step]]\nfrequency_hz = 2825\n\n[receiver]")],
    "loud": [("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [9950, 25450]"),
             ("\n[receiver]", "\n[noise]\nmains_b_nt = 0.4\n\n[targets]\nrho_bias_percent = 40\nphase_bias_deg = 60\nnear_field_bias_deg = 80\n\n[receiver]")],
    "depth2": [("frequencies_hz = [975, 2825, 8525, 25475]", "frequencies_hz = [8525]"), ("dwell_s = 10", "dwell_s = 2"), ("resistivity_ohm_m = [100, 400]\nthickness_m = [30]", "resistivity_ohm_m = [100, 50, 400]\nthickness_m = [30, 40]"),
               ("\n[receiver]", "\n[question]\ntext = \"How deep?\"\nkind = \"depth\"\ninterface = 1\nwithin_m = 3\n\n[receiver]")],
    "awg": [("wire_area_mm2 = 4", "wire_awg = 12")] * 2,
    "emission": [("\n[receiver]", "\n[emission]\nlimit_tables = [\"erc_rec_70_03_annex_9\"]\n\n[[emission.limit]]\nname = \"own\"\n"
                                  "low_hz = 900\nhigh_hz = 1000\ndistance_m = 20\nh_dbua_per_m = 60\n\n[[emission.service]]\n"
                                  "name = \"ours\"\nlow_hz = 2800\nhigh_hz = 2900\n\n[receiver]")],
    "emission_e": [("\n[receiver]", "\n[emission]\n\n[[emission.limit]]\nname = \"own\"\n"
                                    "low_hz = 900\nhigh_hz = 1000\ndistance_m = 20\ne_dbuv_per_m = 60\n\n[receiver]")],
    "custom_coil": [("[receiver]", "[receiver]\ncoil = \"custom\"\ncoil_a_pt = 10\ncoil_floor_pt_per_rthz = 0.01\n"
                                   "coil_b_pt_per_hz = 1e-8")],
}
SHAPES = {  # loop.X.key: the lines that replace `shape` and `side_m`
    "width_m": 'shape = "rectangle"\nwidth_m = 6\nheight_m = 5', "height_m": 'shape = "rectangle"\nwidth_m = 6\nheight_m = 5',
    "diameter_m": 'shape = "circle"\ndiameter_m = 6', "corners": 'shape = "regular_polygon"\nside_m = 3\ncorners = 6',
    "vertices_m": 'shape = "polygon"\nvertices_m = [[-3, 0], [3, 0], [0, 4]]',
}

# What a day, a sweep table, a sounding ... is. Words behind the plan.
COMMANDS = {
    "check": ["check"],
    "quadrature": ["check", "--set", "sweep.loop=\"quadrature\""],
    "transmitter": ["transmitter", "--json"],
    "day": ["day", "--json"],
    "days": ["days", "--out", "OUT"],
    "runs": ["day", "--runs", "12"],
    "tune": ["tune", "--json"],
    "curve": ["curve", "--json"],
    "reach": ["reach", "--json"],
    "sites": ["reach", "--grid", "150", "--margin", "200"],
    "frequencies": ["frequencies", "--json"],
    "table": ["table", "--to", "csv"],
    "sheet": ["sheet", "--out", "OUT/sheet.html"],
    "calendar": ["sheet", "--out", "OUT/sheet.html", "--calendar", "OUT/day.ics"],
    "keep": ["rehearse", "--json", "--runs", "50", "--station", "near", "--keep", "OUT"],
    "rehearse": ["rehearse", "--json", "--runs", "50"],
}

# key | plan | one value | another | command that must tell. "-": the key is left out. A value goes through --set, but where
# the plan has the key's place only as text ("@": the two plans are given as variants).
CHANGES = """
survey.plan_version | quick | "0.1" | "0.2" | check
survey.utc_offset_h | dated | 0 | 3 | calendar
survey.date | dated | 2031-03-12 | 2031-03-13 | calendar
survey.declination_deg | quick | 0 | 5 | sheet
earth.resistivity_ohm_m | quick | [100, 400] | [120, 400] | curve
earth.thickness_m | quick | [30] | [40] | curve
earth.relative_permittivity | quick | [10, 10] | [80, 10] | curve
earth.relative_permeability | quick | [1, 1] | [1.5, 1] | curve
earth.anisotropy | quick | [1, 1] | [2, 1] | curve
earth.polarisable.layer | polarisable | 1 | 2 | curve
earth.polarisable.chargeability | polarisable | 0.5 | 0.2 | curve
earth.polarisable.time_constant_s | polarisable | 0.001 | 0.1 | curve
earth.polarisable.exponent | polarisable | 0.5 | 0.9 | curve
site.latitude_deg | geographic_stations | 47 | 47.001 | curve
site.longitude_deg | geographic_stations | 8 | 8.0005 | curve
site.x_m | local_stations | 0 | 50 | curve
site.y_m | local_stations | 0 | 50 | curve
site.loop_a_azimuth_deg | quick | 0 | 30 | curve
site.loop_b_azimuth_deg | quick | 90 | 60 | curve
station.site | two_sites | "T" | "U" | day
station.latitude_deg | geographic_stations | 47.003 | 47.004 | curve
station.longitude_deg | geographic_stations | 8.002 | 8.003 | curve
station.x_m | local_stations | 300 | 350 | curve
station.y_m | local_stations | 200 | 250 | curve
station.offset_m | quick | 120 | 150 | curve
station.bearing_deg | quick | 40 | 60 | curve
station.sweeps | quick | 1 | 2 | day
station.required_frequencies_hz | quick | - | [975] | day
station.crew | crews | "Sorrel" | "Juniper" | day
station.set_up_min | quick | - | 50 | day
station.mains_b_nt | short | - | 50 | rehearse
station.contact_resistance_ohm | quick | - | 100000 | day
station.ground | own_ground | "bog" | "rock" | curve
station.sensors | own_sensors | "light" | "heavy" | day
station.spectrum_csv | quick | - | "SPECTRUM" | day
station.natural_azimuth_deg | quick | - | 90 | day
station.interferer.name | own_interferer | "fence" | "mill" | frequencies
station.interferer.frequency_hz | own_interferer | 2827 | 2860 | frequencies
station.interferer.half_width_hz | own_interferer | 2 | 20 | frequencies
station.interferer.b_nt | own_interferer | 0.5 | 0.1 | day
ground.resistivity_ohm_m | own_ground | [30, 300] | [40, 300] | curve
ground.thickness_m | own_ground | [10] | [20] | curve
ground.relative_permittivity | own_ground | [10, 10] | [80, 10] | curve
ground.relative_permeability | own_ground | [1, 1] | [1.5, 1] | curve
ground.anisotropy | own_ground | [1, 1] | [2, 1] | curve
ground.polarisable.layer | own_ground | 1 | 2 | curve
ground.polarisable.chargeability | own_ground | 0.5 | 0.2 | curve
ground.polarisable.time_constant_s | own_ground | 0.001 | 0.1 | curve
ground.polarisable.exponent | own_ground | 0.5 | 0.9 | curve
power_line.longitude_latitude_deg | power_line_map | [[8.004, 46.9], [8.004, 47.1]] | [[8.006, 46.9], [8.006, 47.1]] | day
power_line.x_y_m | power_line | [[-900, 300], [900, 300]] | [[-900, 350], [900, 350]] | day
power_line.mains_b_nt | power_line | 9 | 4 | day
power_line.at_distance_m | power_line | 40 | 60 | day
power_line.fall_off_exponent | power_line | 1 | 2 | day
receiver_crew.name | one_crew | "Juniper" | "Sorrel" | day
receiver_crew.people | crews | 2 | 4 | day
receiver_crew.sensor_sets | one_crew | 1 | 2 | day
receiver_crew.set_up_min | crews | 80 | 120 | day
receiver_crew.pack_up_min | crews | 30 | 60 | day
sensors.dipole_m | class_sensors | 50 | 20 | day
sensors.contact_resistance_ohm | class_sensors | 3000 | 100000 | day
sensors.coil | class_sensors | "medium" | "miniature" | day
sensors.coil_a_pt | own_sensors | 10 | 100 | day
sensors.coil_floor_pt_per_rthz | own_sensors | 0.01 | 1 | day
sensors.coil_b_pt_per_hz | own_sensors | 1e-8 | 1e-4 | day
driver.supply | quick | "battery_direct" | "dc_dc" ;; driver.bus_v=60 | transmitter
driver.bus_v | dc_dc | 60 | 70 | transmitter
driver.dc_dc_efficiency | dc_dc | 0.92 | 0.8 | transmitter
driver.dc_dc_limit_w | dc_dc | 150 | 100 | transmitter
driver.rds_on_ohm | quick | 0.01 | 0.1 | transmitter
driver.rds_on_temp_per_k | quick | 0.006 | 0.02 | day
driver.dead_time_s | quick | 5e-7 | 5e-6 | transmitter
driver.overlap_time_s | quick | 5e-8 | 5e-7 | transmitter
driver.quiescent_w | quick | 3 | 10 | transmitter
driver.gate_energy_j | quick | 1.5e-6 | 1e-4 | transmitter
driver.duty | quick | 1 | 0.5 | transmitter
driver.current_limit | limited | "duty" ;; driver.current_limit_quantity="peak" | "clamp" ;; driver.current_limit_quantity="peak" | transmitter
driver.current_limit_quantity | limited | "rms" | "peak" | transmitter
driver.current_limit_a | limited | 6 | 5.5 | transmitter
driver.both_loops | quadrature | true | false | quadrature
driver.idle_loop | skewed | "open" | "closed" | transmitter
driver.clock_hz | quick | 24000000 | 25000000 | table
driver.clock_error_ppm | short | 1 | 100 | rehearse
driver.capacitors.capacitance_f | tuned | [8e-7, 1e-7] | [6e-7, 1e-7] | transmitter
driver.capacitors.rated_v_peak | low_rating | [60, 60] | [90, 90] | transmitter
driver.capacitors.tolerance_fraction | tuned | 0.05 | 0.2 | transmitter
driver.capacitors.loss_tangent | tuned | 0.001 | 0.05 | transmitter
driver.capacitors.bleed_resistor_ohm | tuned | 100000 | 1000000 | transmitter
battery.chemistry | quick | "lifepo4" ;; battery.cells_series=6 ;; battery.cut_off_v=30 | "agm" ;; battery.cells_series=6 ;; battery.cut_off_v=21 | day
battery.capacity_ah | quick | 20 | 10 | day
battery.rated_hours | quick | 20 | 2 | day
battery.one_hour_fraction | quick | 0.9 | 0.3 | day
battery.cells_series | quick | 4 | 5 | day
battery.in_series | quick | 2 ;; battery.cut_off_v=22 | 3 ;; battery.cut_off_v=30 | day
battery.in_parallel | quick | 1 | 2 | day
battery.kinetic_c | quick | 0.5 | 0.9 | day
battery.kinetic_k_per_h | quick | 0.5 | 20 | day
battery.cell_resistance_ohm | quick | 0.002 | 0.05 | day
battery.ocv_state_of_charge | quick | [0, 0.6, 1] ;; battery.ocv_cell_v=[3, 3.3, 3.4] | [0, 0.9, 1] ;; battery.ocv_cell_v=[3, 3.3, 3.4] | day
battery.ocv_cell_v | quick | [3, 3.4] ;; battery.ocv_state_of_charge=[0, 1] | [3.1, 3.5] ;; battery.ocv_state_of_charge=[0, 1] | day
battery.cut_off_v | sagging | 22 | 27 | day
battery.under_voltage_delay_s | sagging | 0.5 | 60 | day
battery.sets_carried | small_battery | 3 | 1 | day
battery.state_of_health | small_battery | [1] | [0.6] | day
battery.state_of_charge | quick | [1] | [0.5] | day
battery.temperature_c | quick | - | -10 | day
thermal.winding_heat_j_per_k | quick | 5800 | 500 | day
thermal.winding_to_air_k_per_w | quick | 0.35 | 2 | day
thermal.winding_limit_c | quick | 70 | 20 | day
thermal.electronics_heat_j_per_k | quick | 420 | 40 | day
thermal.electronics_to_air_k_per_w | quick | 1.8 | 9 | day
thermal.electronics_limit_c | quick | 80 | 20 | day
thermal.winding_to_electronics_k_per_w | quick | - | 0.5 | day
thermal.restart_margin_k | hot | 1 | 4 | day
unit.arm_timeout_s | quick | 3600 | 10 | unit
unit.warning_s | quick | 5 | 60 | day
unit.over_current_factor | quick | 1.25 | 1.05 | transmitter
unit.open_loop_ohm | quick | 50 | 0.1 | day
unit.shorted_loop_ohm | quick | 0.01 | 5 | day
unit.adc_bits | quick | 12 | 8 | converter
sweep.loop | quick | "each" | "a" | day
sweep.order | quick | "each" | "whole" | table
sweep.start_align | quick | "minute" | "none" | day
sweep.frequencies_hz | quick | [975, 2825, 8525, 25475] | [975, 2825, 8525, 20475] | day
sweep.turns_in_use | quick | - | 1 | day
sweep.capacitor | tuned | - | 0 | day
sweep.dwell_s | quick | 10 | 20 | day
sweep.min_dwell_s | quick | 1 | 9 | tune
sweep.max_dwell_s | far_off | 600 | 70 | tune
sweep.current_a_peak | quick | 10 | 5 | day
sweep.ramp_cycles | quick | 8 | 100 | day
sweep.settle_s | quick | 0.2 | 5 | day
sweep.gap_s | quick | 1 | 10 | day
sweep.align | quick | "none" | "second" | day
sweep.coherent_records | quick | false | true | tune
sweep.time_budget_s | far_off | - | 100 | tune
sweep.energy_budget_wh | far_off | - | 0.2 | tune
sweep.step.frequency_hz | steps | 2825 | 2925 | day
sweep.step.loop | steps | "each" | "a" | table
sweep.step.turns_in_use | steps | - | 1 | day
sweep.step.capacitor | steps_tuned | 0 | 1 | day
sweep.step.dwell_s | steps | 10 | 20 | day
sweep.step.min_dwell_s | steps | 1 | 9 | tune
sweep.step.max_dwell_s | far_off_steps | 600 | 70 | tune
sweep.step.current_a_peak | steps | 10 | 5 | day
sweep.step.ramp_cycles | steps | 8 | 100 | day
sweep.step.settle_s | steps | 0.2 | 5 | day
sweep.step.gap_s | steps | 1 | 10 | day
sweep.step.align | steps | "none" | "second" | day
receiver.sample_rate_hz | quick | 102400 | 81920 | frequencies
receiver.record_length | quick | 102400 | 51200 | frequencies
receiver.window | quick | "hann" | "blackman" | day
receiver.dipole_m | quick | 50 | 20 | day
receiver.contact_resistance_ohm | quick | 3000 | 100000 | day
receiver.wire_capacitance_f_per_m | quick | 2e-11 ;; receiver.wire_low_pass="as_recorded" | 1e-9 ;; receiver.wire_low_pass="as_recorded" | day
receiver.wire_low_pass | quick | "as_recorded" | "corrected" | day
receiver.calibration_percent | quick | 1 | 3 | day
receiver.azimuth_error_deg | quick | 0.5 | 5 | day
receiver.level_error_deg | quick | 0.5 | 5 | day
receiver.amplifier_v_per_rthz | quick | 5e-9 | 1e-6 | day
receiver.amplifier_a_per_rthz | quick | 1e-14 | 1e-10 | day
receiver.coil | quick | "medium" | "miniature" | day
receiver.coil_a_pt | custom_coil | 10 | 100 | day
receiver.coil_floor_pt_per_rthz | custom_coil | 0.01 | 1 | day
receiver.coil_b_pt_per_hz | custom_coil | 1e-8 | 1e-4 | day
receiver.vertical_coil | short | false | true | keep
receiver.adc_bits | quick | 24 | 10 | day
receiver.e_full_scale_v | quick | 1 | 100 | day
receiver.b_full_scale_nt | quick | 100 | 1e5 | day
emission.limit_tables | emission | ["erc_rec_70_03_annex_9"] | ["cfr_47_15_209"] | check
emission.built_in_services | emission | true | false | frequencies
emission.limit.low_hz | emission | 900 | 990 | check
emission.limit.high_hz | emission | 1000 | 950 | check
emission.limit.distance_m | emission | 20 | 25 | check
emission.limit.h_dbua_per_m | emission | 60 | 61 | check
emission.limit.e_dbuv_per_m | emission_e | 60 | 61 | check
emission.service.low_hz | emission | 2800 | 2850 | frequencies
emission.service.high_hz | emission | 2900 | 2810 | frequencies
receiver.clock_error_ppm | short | 0.1 | 100 | rehearse
noise.natural | quick | "typical" | "summer_night" | day
noise.natural_by_hour | quick | - | ["summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night", "summer_night"] | day
noise.spectrum_csv | quick | - | "SPECTRUM" | day
noise.spectrum_interpolation | spectrum | "log_log" | "linear" | day
noise.natural_factor | quick | 1 | 50 | day
noise.natural_azimuth_deg | quick | - | 90 | day
noise.natural_along_fraction | quick | 0.6 ;; noise.natural_azimuth_deg=0 | 0.9 ;; noise.natural_azimuth_deg=0 | day
noise.mains_hz | quick | 50 | 60 | frequencies
noise.mains_b_nt | short | 0.1 | 100 | rehearse
noise.weak_grid | quick | false | true | frequencies
noise.mains_orders | quick | 200 | 10 | frequencies
noise.interferer.name | interferer | "pump" | "mill" | frequencies
noise.interferer.frequency_hz | interferer | 2827 | 2860 | frequencies
noise.interferer.half_width_hz | interferer | 2 | 20 | frequencies
noise.interferer.b_nt | interferer | 0.5 | 50 | rehearse
targets.rho_error_percent | quick | 5 | 0.01 | day
targets.phase_error_deg | quick | 2 | 0.001 | day
targets.rho_bias_percent | quick | 5 | 40 | day
targets.phase_bias_deg | quick | 2 | 0.00001 | day
targets.near_field_bias_percent | quick | 50 | 20 | day
targets.near_field_bias_deg | quick | 15 | 3 | day
targets.elements | quick | ["xy", "yx"] | ["xx"] | day
targets.rule_of_thumb_skin_depths | quick | 4 | 3 | reach
day.start | quick | "08:00" | "09:00" | day
day.end | quick | "17:00" | "10:00" | day
day.crew_transmitter | quick | 2 | 6 | day
day.crew_receiver | quick | 2 | 6 | day
day.briefing_min | quick | 5 | 20 | day
day.transmitter_set_up_min | quick | 70 | 90 | day
day.transmitter_pack_up_min | quick | 25 | 45 | day
day.receiver_set_up_min | quick | 30 | 50 | day
day.receiver_pack_up_min | quick | 10 | 20 | day
day.agree_min | quick | 2 | 10 | day
day.quick_look_min | quick | 5 | 15 | day
day.battery_swap_min | small_battery | 4 | 20 | day
day.walking_speed_km_h | quick | 3 | 1 | day
day.swap_rule | small_battery | "at_cut_off" | "never" | day
day.swap_below_fraction | small_swap | 0.1 | 0.999 | day
day.temperature_hour | warm | [6, 18] | [9, 18] | day
day.temperature_c | warm | [10, 20] | [0, 20] | day
day.leg.from | leg | "near" | "base" | day
day.leg.to | leg | "far" | "base" | day
day.leg.minutes | leg | 20 | 40 | day
areas.exclusion_geojson | geographic | - | "AREA" | sites
areas.tracks_geojson | geographic | - | "TRACK" | day
areas.track_speed_factor | mapped | 1.5 | 10 | day
areas.site_walk_max_min | geographic | - | 5 | sites
terrain.elevation_grid | geographic | - | "HILL" | day
terrain.walking_rule | mapped | "tobler" | "naismith" | day
terrain.site_slope_max_deg | mapped | - | 2 | sites
terrain.flat_relief_fraction | mapped | 0.01 | 100 | check
survey_day.date | days | 2031-06-02 | 2031-05-31 | days
survey_day.start | days | "08:00" | "09:00" | days
survey_day.end | days | "17:00" | "10:00" | days
survey_day.stations | days | ["near"] | ["far"] | days
survey_day.charge | days | true | false | days
charging.charger_w | days | 100 | 60 | days
charging.chargers | days | 1 | 2 | days
charging.hours | days | 3 | 2 | days
charging.efficiency | days | 0.85 | 0.7 | days
charging.place_temperature_c | days | 15 | 0 | days
charging.supply | days | "generator" | "vehicle" | days
charging.supply_w | days | 500 | 80 | days
charging.supply_wh | days | 900 | 100 | days
safety.exposure_levels | quick | "icnirp" | "eu" | day
safety.own_public_b_ut | quick | 3 ;; safety.exposure_levels="own" ;; safety.own_occupational_b_ut=9 | 1 ;; safety.exposure_levels="own" ;; safety.own_occupational_b_ut=9 | day
safety.own_occupational_b_ut | quick | 9 ;; safety.exposure_levels="own" ;; safety.own_public_b_ut=1 | 5 ;; safety.exposure_levels="own" ;; safety.own_public_b_ut=1 | day
safety.keep_out_margin_m | quick | 2 | 5 | day
safety.wind_raise_limit_m_s | quick | 8 | 6 | sheet
safety.wind_lower_mean_m_s | quick | 12 | 10 | sheet
safety.wind_lower_gust_m_s | quick | 17 | 15 | sheet
safety.lightning_flash_to_bang_s | quick | 30 | 60 | sheet
safety.lightning_wait_min | quick | 30 | 60 | sheet
safety.safe_capacitor_v | tuned | 50 | 5 | day
uncertainty.capacity_fraction | quick | 0.05 | 0.5 | runs
uncertainty.cell_resistance_fraction | quick | 0.1 | 0.9 | runs
uncertainty.temperature_c | quick | 2 | 20 | runs
uncertainty.resistivity_decades | quick | 0.1 | 0.5 | runs
uncertainty.natural_noise_db | quick | 4 | 40 | runs
uncertainty.mains_db | loud | 6 | 40 | runs
uncertainty.times_fraction | quick | 0.25 | 0.9 | runs
uncertainty.moment_fraction | quick | 0.02 | 0.5 | runs
uncertainty.loop_azimuth_deg | quick | 1 | 20 | runs
uncertainty.loop_tilt_deg | quick | 1 | 20 | runs
uncertainty.loop_area_fraction | quick | 0.01 | 0.9 | runs
question.kind | grounds | "two_grounds" | "depth" ;; question.interface=1 ;; question.within_m=3 | rehearse
question.interface | depth2 | 1 | 2 | rehearse
question.within_m | depth | 3 | 1 | rehearse
question.confidence | depth | 0.95 | 0.6 | rehearse
question.stations | depth | - | ["far"] | rehearse
question.with_target.resistivity_ohm_m | grounds | [100, 200, 400] | [100, 110, 400] | rehearse
question.with_target.thickness_m | grounds | [30, 10] | [30, 30] | rehearse
question.with_target.relative_permittivity | grounds | [10, 10, 10] | [80, 80, 10] | rehearse
question.with_target.relative_permeability | grounds | [1, 1, 1] | [1.5, 1, 1] | rehearse
question.with_target.anisotropy | grounds | [1, 1, 1] | [2, 1, 1] | rehearse
question.with_target.polarisable.layer | grounds | 2 | 1 | rehearse
question.with_target.polarisable.chargeability | grounds | 0.3 | 0.6 | rehearse
question.with_target.polarisable.time_constant_s | grounds | 0.001 | 0.0001 | rehearse
question.with_target.polarisable.exponent | grounds | 0.5 | 0.9 | rehearse
"""
# Both loops have the same keys.
LOOP_CHANGES = """
shape | quick | "square" ;; LOOP.centre_height_m=8 | "regular_polygon" ;; LOOP.corners=5 ;; LOOP.centre_height_m=8 | transmitter
side_m | quick | 6 | 5 | transmitter
width_m | width_m | 6 | 7 | transmitter
height_m | height_m | 5 | 4 | transmitter
diameter_m | diameter_m | 6 | 5 | transmitter
corners | corners | 6 ;; LOOP.centre_height_m=6 | 8 ;; LOOP.centre_height_m=6 | transmitter
vertices_m | vertices_m | [[-3, 0], [3, 0], [0, 4]] | [[-3, 0], [3, 0], [0, 5]] | transmitter
turns | quick | 3 | 4 | transmitter
taps | quick | [1] | [2] | transmitter
wire_area_mm2 | quick | 4 | 6 | transmitter
wire_awg | awg | 12 | 14 | transmitter
wire_strands | quick | 1 | 50 | transmitter
turn_pitch_m | quick | 0.006 | 0.02 | transmitter
conductor | quick | "copper" | "aluminium" | transmitter
centre_height_m | quick | 3.5 | 6 | curve
azimuth_deg | quick | AZIMUTH | TURNED | curve
tilt_deg | quick | 0 | 10 | curve
lead_length_m | quick | 0 | 20 | transmitter
lead_resistance_ohm | quick | 0 | 0.5 | transmitter
"""
# Shown, signed or referred to; they compute nothing.
LABELS = {
    "survey.name": "day", "survey.notes": "day", "survey.operator_name": "logsheet", "survey.invented": "day",
    "ground.name": "check", "power_line.name": "check", "sensors.name": "check", "site.name": "day", "station.name": "day", "sweep.name": "frequencies", "question.text": "rehearse",
    "emission.limit.name": "transmitter", "emission.service.name": "frequencies",
}


def replaced(text, pairs):
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def with_files(text):
    for word, name in (("AREA", "area.geojson"), ("TRACK", "track.geojson"), ("HILL", "hill.asc")):
        text = text.replace(word, f"{WORK}/{name}")
    return text


def variant_text(name):
    if name in SHAPES:
        return replaced(PLAN, [('shape = "square"\nside_m = 6\n', SHAPES[name] + "\n")] * 2)
    return with_files(replaced(PLAN, VARIANTS[name]))


def every_key():
    """"battery.capacity_ah", in the order of the reference."""
    page = subprocess.run([AMPTURN, "explain", "--markdown"], capture_output=True, check=True, text=True).stdout
    table, keys = "", []
    for line in page.splitlines():
        if heading := re.match(r"## `\[+([\w.]+)\]+`", line):
            table = heading.group(1)
        elif row := re.match(r"\| `(\w+)` \|", line):
            keys.append(f"{table}.{row.group(1)}")
    return keys


def parsed(text, prefix=""):
    for line in text.strip().splitlines():
        key, variant, one, other, command = (part.strip() for part in line.split(" | "))
        yield prefix + key, variant, one, other, command


def changes():
    out = {key: rest for key, *rest in parsed(CHANGES)}
    for loop, azimuth, turned in (("a", "0", "20"), ("b", "90", "70")):
        text = LOOP_CHANGES.replace("LOOP", f"loop.{loop}").replace("AZIMUTH", azimuth).replace("TURNED", turned)
        out |= {key: rest for key, *rest in parsed(text, f"loop.{loop}.")}
    return out


REPEATED = ("earth.polarisable", "ground", "ground[1].polarisable", "sensors", "receiver_crew", "power_line", "site", "station", "station[2].interferer", "sweep.step", "noise.interferer", "emission.limit", "emission.service", "day.leg", "survey_day", "question.with_target.polarisable")


OF_SECOND_STATION = ("geographic_stations", "local_stations", "own_ground", "own_sensors", "own_interferer", "crews")


def settings(key, value, variant):
    """--set of the first entry of a table that repeats (of the station that has what is asked for: the second), and of what stands
    behind " ;; "."""
    if value == "-":
        return []
    value, *more = with_files(value.replace("SPECTRUM", f"{WORK}/spectrum.csv")).split(" ;; ")
    for table in REPEATED:
        if key.startswith(table + "."):
            entry = 2 if table == "station" and variant in OF_SECOND_STATION else 1
            key = f"{table}[{entry}]{key[len(table):]}"
    return [word for setting in (f"{key}={value}", *more) for word in ("--set", setting)]


# What says which plan it was, or only repeats a key's value.
ECHO = re.compile(r'"(?:plan_crc32|plan_path|plan|version|generator|program|git_hash|target_\w+|tolerance_\w+|utc_offset_h|date|'
                  r'battery_cut_off_v|batteries_carried|confidence|within_m)": .*|CRC-32 [0-9A-F]{8}|UID:\S+')


def answer(command, plan, extra, folder):
    folder.mkdir(parents=True, exist_ok=True)
    words = [w.replace("OUT", str(folder)) for w in COMMANDS[command]]
    done = subprocess.run([AMPTURN, words[0], str(plan), *words[1:], *extra], cwd=SOURCE, capture_output=True)
    files = b"".join(path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())
    text = (done.stdout + done.stderr + files).decode(errors="replace").replace(str(folder), "OUT").replace(str(plan), "PLAN")
    return done.returncode, ECHO.sub("", text)


def unit_answer(what, plan, extra, folder):
    """What the simulated unit's converter makes of the battery's voltage, or its state when armed and 200 s later, asked in its
    command language."""
    folder.mkdir(parents=True, exist_ok=True)
    with_settings = folder / "plan.toml"
    with_settings.write_text(plan.read_text() + "".join(
        f"\n[{setting.split('.')[0]}]\n{setting.split('.')[1]}\n" for setting in extra[1::2]))
    unit = subprocess.Popen([AMPTURN_SIM, "--plan", with_settings, "--speed", "1000", "--scpi-port", "0", "--panel-port", "0",
                             "--start-utc", "2026-06-01T08:00:00Z", "--log", folder / "session.jsonl"],
                            stdout=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True)
    try:
        port = int(unit.stdout.readline().rsplit(":", 1)[1])
        with socket.create_connection(("127.0.0.1", port), timeout=20) as client, client.makefile("rw", newline="\n") as lines:
            def ask(words):
                lines.write(words + "\n")
                lines.flush()
                return lines.readline()
            if what == "converter":
                return 0, min(ask("MEAS:VOLT?") for _ in range(50))
            armed = ask("ARM;:SYST:STAT?")
            time.sleep(0.2)  # 200 s of the unit's
            return 0, armed + ask("SYST:STAT?")
    finally:
        unit.terminate()
        unit.wait()
        unit.stdout.close()


class NoDeadKey(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        shutil.rmtree(WORK, ignore_errors=True)
        WORK.mkdir(parents=True)
        (WORK / "spectrum.csv").write_text("frequency_hz,b_pt_per_rthz\n500,0.5\n5000,0.01\n50000,0.2\n")
        (WORK / "area.geojson").write_text(
            '{"type":"Polygon","coordinates":[[[8.001,46.99],[8.01,46.99],[8.01,47.01],[8.001,47.01],[8.001,46.99]]]}')
        (WORK / "track.geojson").write_text('{"type":"LineString","coordinates":[[8.0005,47.0005],[8.004,47.004]]}')
        (WORK / "hill.asc").write_text("ncols 40\nnrows 40\nxllcorner 7.99\nyllcorner 46.99\ncellsize 0.0005\n" + "\n".join(
            " ".join(str((row - 20) ** 2 * .3 + (column - 20) ** 2 * .2) for column in range(40)) for row in range(40)) + "\n")
        for name in [*VARIANTS, *SHAPES]:
            (WORK / f"{name}.toml").write_text(variant_text(name))

    def test_every_key_is_tried(self):
        self.assertEqual(sorted(every_key()), sorted([*changes(), *LABELS]))

    def test_every_key_changes_a_result(self):
        def dead(item):
            key, (variant, one, other, command) = item
            plan = WORK / f"{variant}.toml"
            ask = functools.partial(unit_answer if command in ("unit", "converter") else answer, command)
            answers = [ask(plan, settings(key, value, variant), WORK / f"{key}.{side}")
                       for side, value in (("one", one), ("other", other))]
            if answers[0][0] not in (0, 1):
                return f"{key}: {command} fails on the first value: {answers[0][1][:200]}"
            if answers[1][0] == 2 and not (key, command) in REFUSALS:
                return f"{key}: {command} refuses the second value: {answers[1][1][:200]}"
            return f"{key}: {command} says the same for {one} and {other}" if answers[0] == answers[1] else None

        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            found = {key: line for key, line in zip(changes(), pool.map(dead, changes().items())) if line}
        self.assertEqual(found, {}, "\n" + "\n".join(found.values()))


# Not allowing it is what the key does.
REFUSALS = {("driver.both_loops", "quadrature"), ("survey.plan_version", "check")}

if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=1)
