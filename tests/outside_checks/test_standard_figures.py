"""What the published standard says of a car, against what a consultation finds.

Each line holds answers as a person would give them and all items that the standard then names,
with their categories; how to read a line stands in tests/support/figure_checks.py. The figures,
days and categories here were typed from the texts named at the head of each block, with how far
each was read (a different basis stands after the line). None is taken from the ruleset.
"""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

from assistant.cli import run
from assistant.ruleset.condition import Number, leaves
from assistant.ruleset.ruleset import Inference, Ruleset
from assistant.ruleset.truth import compare
from tests.support.figure_checks import (
    Check,
    Consulted,
    Text,
    by_day,
    checks,
    found_in,
    left_to_station,
    station_by_day,
    typed,
)

SECONDARY, MEMORY = "read in a secondary copy", "from memory"
MANUAL = "MOT inspection manual, defect tables checked 16 September 2026"
SECTION_0 = Text(f"{MANUAL}, section 0", "read")
SECTION_1 = Text(f"{MANUAL}, section 1, read whole", "read")
SECTION_2 = Text(f"{MANUAL}, section 2", "read")
SECTION_3 = Text(f"{MANUAL}, section 3", "read")
SECTION_4 = Text(f"{MANUAL}, section 4", "read")
SECTION_5 = Text(f"{MANUAL}, section 5", "read")
SECTION_6 = Text(f"{MANUAL}, section 6, with the edition of 2 March 2022", "read")
SECTION_7 = Text(f"{MANUAL}, section 7", "read")
SECTION_8 = Text(f"{MANUAL}, section 8", "read")
JUNE_2026 = Text("MOT inspection manual of 1 June 2026, as quoted by its readers", SECONDARY)
EDITION_2012 = Text("MOT inspection manual, 2012 edition", "read")
GUIDE_2018 = Text("Guide for testers to the changes of May 2018", "read")
NOTICE_2021 = Text("Special notice of 2021 to testers, in a club's report", SECONDARY)
QUOTE_2008 = Text("A post of June 2008 that quotes the manual", SECONDARY)
FITMENT = Text("Seat belt fitment dates, an owners' club's table", SECONDARY)
GAS_PAGES = Text("Pages that sum up the gas and smoke limits; one article of 2018", SECONDARY)
LEAK_PAGES = Text("Pages on the fluid leak rule of 2018", SECONDARY)
RECORDS = Text("Wording of test history records, various dates", SECONDARY)
MIRRORS = Text("A learner drivers' page, a forum answer of 2020, a test record of 2016", SECONDARY)
HORNS = Text("Copies of section 7 in the form of 2018 and in an older edition", SECONDARY)
SPEEDO = Text("Section 7.8 as quoted in a forum for amateurs", SECONDARY)
BLACK_PLATES = Text("Two pages on black plates, of January 2021 and May 2024", SECONDARY)
LETTER = Text("A letter of the testing agency, and a page for builders of kit cars", SECONDARY)
SECTION_8_2024 = Text("Copy of section 8 of the manual, 2 April 2024", SECONDARY)
HYBRIDS = Text("A closed petition on hybrids, and section 7.3 of the manual of 2012", SECONDARY)
LAW_7B = Text("Construction and Use Regulations 1986, schedule 7B", "read")
DISPLAY_2001 = Text("Display of Registration Marks Regulations 2001", MEMORY)
BEAM_QUOTED = Text("MOT inspection manual, section 4.1.2, quoted on an owner's page", SECONDARY)
VAN_TYRES = Text(f"{MANUAL}, section 5; load figures of the tyre makers", MEMORY)
CODE_6 = Text("Highway Code, annex 6, current copy", "read")
USE_27 = Text("Construction and Use Regulations 1986, regulation 27", "read")
CUTS_BLOG = Text("Agency's blog for testers, on cuts in tyres", "read")

# Figures and days: each one step below, at, and one step above ------------------------------

FIGURES: list[Check] = [
    # Brake pads: dangerous below 1.5 mm at any point; 1.5 mm itself is not below 1.5 mm. Item
    # 1.1.13(a)(ii). That a thin but lawful pad is an advisory was read in history records.
    *checks(SECTION_1, f"""
        thinnest_pad=1.0 => 1.1.13(a)(ii) dangerous
        thinnest_pad=1.5 => 1.1.13(a)(ii) advisory | {SECONDARY}
        thinnest_pad=2.0 => 1.1.13(a)(ii) advisory | {SECONDARY}
    """, "pad_least"),
    # Tread: 1.6 mm in the middle three quarters all round; exactly 1.6 mm is lawful. 5.2.3(e).
    *checks(SECTION_5, f"""
        tread_depth=1.5 => 5.2.3(e) dangerous
        tread_depth=1.6 => 5.2.3(e) advisory | {SECONDARY}
        tread_depth=1.7 => 5.2.3(e) advisory | {SECONDARY}
        body=light_van; tread_depth=1.5 => 5.2.3(e) dangerous
        body=heavy_van; tread_depth=1.5 => 5.2.3(e) dangerous
        body=camper; tread_depth=1.6 => 5.2.3(e) advisory | {SECONDARY}
    """, "tread_least"),
    # More than 8 passenger seats: 1.0 mm (figure from the Highway Code, annex 6). 5.2.3(e).
    *checks(SECTION_5, """
        body=minibus; tread_depth=0.9 => 5.2.3(e) dangerous
        body=minibus; tread_depth=1.0 => nothing
        body=minibus; tread_depth=1.1 => nothing
        body=minibus; tread_depth=1.5 => nothing
    """, "tread_least_minibus"),
    # Cuts: longer than 25 mm or 10 % of the section width, the larger, and deep enough to reach
    # the cords: 5.2.3(d)(i) major. At or under that an advisory (the blog for testers).
    *checks(USE_27, """
        cut_length=24; tyre_width=205 => 5.2.3(d)(i) advisory
        cut_length=25; tyre_width=205 => 5.2.3(d)(i) advisory
        cut_length=26; tyre_width=205 => 5.2.3(d)(i) major
        cut_length=25; tyre_width=250 => 5.2.3(d)(i) advisory
        cut_length=26; tyre_width=250 => 5.2.3(d)(i) major
        cut_length=25; tyre_width=- => 5.2.3(d)(i) advisory
        cut_length=26; tyre_width=- => nothing !have_looked_at
    """, "cut_least", given="tyre_damage=cut; cut_depth=felt"),
    *checks(USE_27, """
        cut_length=26; tyre_width=255 => 5.2.3(d)(i) major
        cut_length=26; tyre_width=265 => 5.2.3(d)(i) advisory
        cut_length=27; tyre_width=265 => 5.2.3(d)(i) major
        cut_length=29; tyre_width=295 => 5.2.3(d)(i) advisory
        cut_length=30; tyre_width=295 => 5.2.3(d)(i) major
    """, "cut_share", given="tyre_damage=cut; cut_depth=felt"),
    *checks(USE_27, """
        cut_length=29; tyre_width=300 => 5.2.3(d)(i) advisory
        cut_length=30; tyre_width=300 => 5.2.3(d)(i) advisory
        cut_length=31; tyre_width=300 => 5.2.3(d)(i) major
    """, "nothing_over", given="tyre_damage=cut; cut_depth=felt"),
    # A tyre over ten years old is no defect on a car or van; the Highway Code advises. The item
    # for age, 5.2.3(m), is for buses, coaches and minibuses, and which axles was not read.
    *checks(CODE_6, """
        tyre_made=2016-01-16 => nothing !nothing
        tyre_made=2016-01-15 => nothing !nothing
        tyre_made=2016-01-14 => nothing !keep_an_eye
        body=minibus; tyre_made=2016-01-15 => nothing !nothing
        body=minibus; tyre_made=2016-01-14 => nothing !gently_to_garage
    """, "tyre_old_days"),
    # Free play at the rim of a wheel 380 mm across: 13 mm with a rack, up to 48 mm where the
    # column has several joints, which an owner cannot know; 75 mm with a box. 2.3(a)(i) major.
    *checks(EDITION_2012, """
        steering_play=12; steering_kind=rack => nothing !nothing
        steering_play=13; steering_kind=rack => nothing !nothing
        steering_play=14; steering_kind=rack => nothing !have_looked_at
        steering_play=14; steering_kind=dont_know => nothing !have_looked_at
        steering_play=14; steering_kind=box => nothing !nothing
    """, "play_rack"),
    *checks(EDITION_2012, """
        steering_play=47; steering_kind=rack => nothing !have_looked_at
        steering_play=48; steering_kind=rack => nothing !have_looked_at
        steering_play=49; steering_kind=rack => 2.3(a)(i) major !do_not_drive
    """, "play_rack_joints"),
    *checks(EDITION_2012, """
        steering_play=74; steering_kind=box => nothing
        steering_play=75; steering_kind=box => nothing
        steering_play=76; steering_kind=box => 2.3(a)(i) major !do_not_drive
        steering_play=75; steering_kind=dont_know => nothing !have_looked_at
        steering_play=76; steering_kind=dont_know => 2.3(a)(i) major
    """, "play_box"),
    # The figures are for a wheel 380 mm across; a smaller one is allowed less in proportion.
    *checks(EDITION_2012, """
        steering_play=13; wheel_across=379; steering_kind=rack => nothing !have_looked_at
        steering_play=13; wheel_across=380; steering_kind=rack => nothing !nothing
        steering_play=13; wheel_across=381; steering_kind=rack => nothing !nothing
        steering_play=48; wheel_across=380; steering_kind=rack => nothing !have_looked_at
        steering_play=48; wheel_across=379; steering_kind=rack => 2.3(a)(i) major !do_not_drive
        steering_play=75; wheel_across=380; steering_kind=box => nothing
        steering_play=75; wheel_across=379; steering_kind=box => 2.3(a)(i) major !do_not_drive
        steering_play=11; wheel_across=350; steering_kind=rack => nothing !nothing
        steering_play=12; wheel_across=350; steering_kind=rack => nothing !have_looked_at
        steering_play=78; wheel_across=400; steering_kind=box => nothing
        steering_play=79; wheel_across=400; steering_kind=box => 2.3(a)(i) major
    """, "play_wheel"),
    # Windscreen: over 10 mm in zone A, over 40 mm in the rest of the swept area, and only where
    # the view is significantly affected: 3.2(a)(ii) major. Damage that does not spoil the view
    # is 3.2(a)(i) minor, and so is damage within the size.
    *checks(JUNE_2026, """
        damage_affects=yes; damage_offset=0; damage_size=9 => 3.2(a)(i) minor
        damage_affects=yes; damage_offset=0; damage_size=10 => 3.2(a)(i) minor
        damage_affects=yes; damage_offset=0; damage_size=11 => 3.2(a)(ii) major
        damage_affects=no; damage_offset=0; damage_size=10 => 3.2(a)(i) minor
        damage_affects=no; damage_offset=0; damage_size=11 => 3.2(a)(i) minor
    """, "damage_driver_limit", given="screen_looks=damage; damage_swept=yes"),
    *checks(JUNE_2026, """
        damage_affects=yes; damage_offset=500; damage_size=39 => 3.2(a)(i) minor
        damage_affects=yes; damage_offset=500; damage_size=40 => 3.2(a)(i) minor
        damage_affects=yes; damage_offset=500; damage_size=41 => 3.2(a)(ii) major
        damage_affects=no; damage_offset=500; damage_size=40 => 3.2(a)(i) minor
        damage_affects=no; damage_offset=500; damage_size=41 => 3.2(a)(i) minor
        damage_affects=yes; damage_offset=dont_know; damage_size=40 => nothing !before_inspection
        damage_affects=yes; damage_offset=dont_know; damage_size=41 => 3.2(a)(ii) major
    """, "damage_other_limit", given="screen_looks=damage; damage_swept=yes"),
    # Zone A is 290 mm wide, centred on the steering wheel: 145 mm to each side. Damage that
    # touches the band is taken as inside it (our own reading, to be on the careful side).
    *checks(JUNE_2026, """
        damage_affects=yes; damage_size=20; damage_offset=154 => 3.2(a)(ii) major
        damage_affects=yes; damage_size=20; damage_offset=155 => 3.2(a)(ii) major
        damage_affects=yes; damage_size=20; damage_offset=156 => 3.2(a)(i) minor
        damage_affects=yes; damage_size=41; damage_offset=165 => 3.2(a)(ii) major
        damage_affects=yes; damage_size=41; damage_offset=166 => 3.2(a)(ii) major
        damage_affects=no; damage_size=20; damage_offset=155 => 3.2(a)(i) minor
        damage_affects=no; damage_size=20; damage_offset=156 => 3.2(a)(i) minor
        damage_affects=yes; damage_size=8; damage_offset=120 => 3.2(a)(i) minor
        damage_affects=yes; damage_size=30; damage_offset=161 => 3.2(a)(i) minor
    """, "zone_half", given="screen_looks=damage; damage_swept=yes"),
    # Indicators: 60 to 120 flashes a minute, 4.4.4(a) minor. A count is uncertain by one flash
    # either way, so a count of 59 or 121 in a whole minute proves nothing.
    *checks(SECTION_4, """
        flash_count=58; flash_seconds=60 => 4.4.4(a) minor
        flash_count=59; flash_seconds=60 => nothing
        flash_count=60; flash_seconds=60 => nothing
        flash_count=61; flash_seconds=60 => nothing
        flash_count=28; flash_seconds=30 => 4.4.4(a) minor
        flash_count=29; flash_seconds=30 => nothing
        flash_count=30; flash_seconds=30 => nothing
        flash_count=31; flash_seconds=30 => nothing
        flash_count_longer=58; flash_seconds_longer=60 => 4.4.4(a) minor
        flash_count_longer=59; flash_seconds_longer=60 => nothing
        flash_count_longer=61; flash_seconds_longer=60 => nothing
    """, "flash_slowest"),
    *checks(SECTION_4, """
        flash_count=119; flash_seconds=60 => nothing
        flash_count=120; flash_seconds=60 => nothing
        flash_count=121; flash_seconds=60 => nothing
        flash_count=122; flash_seconds=60 => 4.4.4(a) minor
        flash_count=59; flash_seconds=30 => nothing
        flash_count=60; flash_seconds=30 => nothing
        flash_count=61; flash_seconds=30 => nothing
        flash_count=62; flash_seconds=30 => 4.4.4(a) minor
        flash_count_longer=119; flash_seconds_longer=60 => nothing
        flash_count_longer=121; flash_seconds_longer=60 => nothing
        flash_count_longer=122; flash_seconds_longer=60 => 4.4.4(a) minor
    """, "flash_fastest"),
    # Last time's figures: 58, 50 and 16 % of the weight, 30 % between left and right. They are no
    # finding of today. Each force is taken as 5 kgf out, so 560 of 1,000 may just be 58 %.
    *checks(SECTION_1, """
        brake_force@front_nearside=139 => nothing !before_inspection
        brake_force@front_nearside=140 => nothing !keep_an_eye
        first_used=2010-08-31; brake_force@front_nearside=139 => nothing !nothing
    """, "foot_brake_least", given="brake_force@front_offside=140; brake_force@rear_nearside=140; "
            "brake_force@rear_offside=140; tested_weight=1000"),
    *checks(SECTION_1, """
        body=light_van; brake_force@front_nearside=119 => nothing !before_inspection
        body=light_van; brake_force@front_nearside=120 => nothing !keep_an_eye
        first_used=2010-08-31; brake_force@front_nearside=119 => nothing !before_inspection
    """, "foot_brake_least_old", given="brake_force@front_offside=120; tested_weight=1000; "
            "brake_force@rear_nearside=120; brake_force@rear_offside=120"),
    *checks(SECTION_1, """
        tested_weight=1000; parking_force=154 => nothing !before_inspection
        tested_weight=1000; parking_force=155 => nothing !keep_an_eye
        tested_weight=1000; parking_force=164 => nothing !keep_an_eye
        tested_weight=1000; parking_force=165 => nothing !nothing
    """, "parking_least"),
    *checks(SECTION_1, """
        brake_force@front_nearside=205; brake_force@front_offside=135 => nothing !keep_an_eye
        brake_force@front_nearside=206; brake_force@front_offside=135 => nothing !before_inspection
    """, "imbalance_most"),
    # The fall of a dipped beam: 0.5 to 2.75 %, from 1.25 % for lamps over 850 mm high. A tape is
    # taken as a centimetre out, so 3 cm at 5 m may be less than 0.5 %. No item: 4.1.2(a) is left
    # to the station.
    *checks(BEAM_QUOTED, """
        lamp_height=680; beam_drop=3 => nothing !before_inspection
        lamp_height=680; beam_drop=3.5 => nothing !nothing
    """, "dip_least", given="wall_distance=5"),
    *checks(BEAM_QUOTED, """
        lamp_height=900; beam_drop=7 => nothing !before_inspection
        lamp_height=900; beam_drop=7.5 => nothing !nothing
    """, "dip_least_high", given="wall_distance=5"),
    *checks(BEAM_QUOTED, """
        lamp_height=680; beam_drop=12.5 => nothing !nothing
        lamp_height=680; beam_drop=13 => nothing !before_inspection
    """, "dip_most", given="wall_distance=5"),
    *checks(BEAM_QUOTED, """
        lamp_height=850; beam_drop=5 => nothing !nothing
        lamp_height=860; beam_drop=5 => nothing !before_inspection
    """, "high_lamp", given="wall_distance=5"),
    # A van over 3,000 kg whose tyres carry less than its axle: 5.2.3(a)(i). Load figure 109 is
    # 1,030 kg (the makers' table, from memory), so 2,060 kg an axle.
    *checks(VAN_TYRES, """
        axle_limit@rear=2059 => nothing !nothing
        axle_limit@rear=2060 => nothing !nothing
        axle_limit@rear=2061 => 5.2.3(a)(i) major
    """, "no_kg", given="body=heavy_van; tyre_rating=dont_know; "
            "axle_marking@rear=215/70 R15C 109/107S"),
    # Towbar: worn by more than 25 % of its thickness, 6.1.6(b)(i) major; a take-off ball may
    # move up to 3 mm (what lies beyond is taken for bad wear; that is assumed).
    *checks(SECTION_6, """
        tow_full_size=20; tow_worn_by=4.9 => nothing
        tow_full_size=20; tow_worn_by=5.0 => nothing
        tow_full_size=20; tow_worn_by=5.1 => 6.1.6(b)(i) major
    """, "tow_wear_share", given="equipment=towbar; towbar_signs=tow_worn"),
    *checks(SECTION_6, """
        tow_full_size=12; tow_worn_by=2.9 => nothing
        tow_full_size=12; tow_worn_by=3.0 => nothing
        tow_full_size=12; tow_worn_by=3.1 => 6.1.6(b)(i) major
    """, "no_wear", given="equipment=towbar; towbar_signs=tow_worn"),
    *checks(SECTION_6, """
        tow_ball_play=2.5 => nothing
        tow_ball_play=3.0 => nothing
        tow_ball_play=3.5 => 6.1.6(b)(i) major | assumed
    """, "tow_ball_free", given="equipment=towbar; towbar_signs=tow_ball_rocks"),
    # Leaks: a pool of about 75 mm, or several that add up to it: 8.4.1(a)(i) major; less is an
    # advisory in history records.
    *checks(LEAK_PAGES, """
        ground_patch=oily; oil_patch_size=74 => 8.4.1(a) advisory
        ground_patch=oily; oil_patch_size=75 => 8.4.1(a)(i) major
        ground_patch=oily; oil_patch_size=76 => 8.4.1(a)(i) major
    """, "oil_pool"),
    *checks(LEAK_PAGES, """
        ground_patch=oily; oil_patch_size=0 => nothing
        ground_patch=oily; oil_patch_size=1 => 8.4.1(a) advisory
    """, "no_patch"),
    # Engine lamp, 8.2.1.2(h) and 8.2.2.2(g).
    *by_day(JUNE_2026, "engine_lamp_petrol_from", "2003-07-01", "lamps_stay_on=engine",
            after="8.2.1.2(h) major"),
    *by_day(JUNE_2026, "engine_lamp_petrol_from", "2003-07-01", "lamps_missing=engine",
            after="8.2.1.2(h) major"),
    *by_day(JUNE_2026, "engine_lamp_diesel_from", "2008-07-01",
            "fuel=diesel; lamps_stay_on=engine", after="8.2.2.2(g) major"),
    *by_day(JUNE_2026, "engine_lamp_diesel_from", "2008-07-01",
            "fuel=diesel; lamps_missing=engine", after="8.2.2.2(g) major"),
    # Tyre pressure monitoring, passenger vehicles only, 5.2.3(h).
    *by_day(JUNE_2026, "tyre_lamp_from", "2012-01-01",
            "lamps_stay_on=tyre_pressure; tyre_lamp_kind=flashes", after="5.2.3(h) major"),
    *by_day(JUNE_2026, "tyre_lamp_from", "2012-01-01", "lamps_missing=tyre_pressure",
            after="5.2.3(h) major"),
    # Anti-lock brakes obviously taken off, 1.6(f).
    *by_day(SECTION_1, "abs_kept_from", "2010-01-01", "lamps_missing=abs; abs_history=yes",
            before="1.6(a) major", after="1.6(a) major, 1.6(f) major"),
    # Mirrors, 3.3(a): from 1 August 1978 the driver's outside one and one of the other two;
    # before that one in any place; from 26 January 2010 all three, the inside one only where it
    # shows the road behind. A minibus needs both outside ones from 1 August 1983.
    *by_day(EDITION_2012, "mirrors_two_from", "1978-08-01", "mirrors=driver_gone",
            after="3.3(a) major"),
    *by_day(EDITION_2012, "mirrors_two_from", "1978-08-01", "mirrors=passenger_gone+inside_gone",
            after="3.3(a) major"),
    *by_day(EDITION_2012, "mirrors_two_from", "1978-08-01",
            "mirrors=driver_gone+passenger_gone+inside_gone",
            before="3.3(a) major", after="3.3(a) major"),
    *by_day(EDITION_2012, "mirrors_two_from", "1978-08-01", "mirrors=driver_bad; mirror_view=no",
            after="3.3(b)(ii) major"),
    *by_day(MIRRORS, "mirrors_three_from", "2010-01-26", "mirrors=passenger_gone",
            after="3.3(a) major"),
    *by_day(MIRRORS, "mirrors_three_from", "2010-01-26",
            "mirrors=inside_gone; van_rear_view=yes", after="3.3(a) major"),
    *by_day(MIRRORS, "mirrors_three_from", "2010-01-26",
            "mirrors=inside_gone; van_rear_view=no", after="nothing"),
    *by_day(MIRRORS, "mirrors_three_from", "2010-01-26", "mirrors=passenger_bad; mirror_view=no",
            after="3.3(b)(ii) major"),
    *by_day(MIRRORS, "mirrors_three_from", "2010-01-26",
            "body=camper; mirrors=inside_bad; van_rear_view=yes; mirror_view=yes",
            after="3.3(b)(i) minor"),
    *by_day(EDITION_2012, "mirrors_both_outside_from", "1983-08-01",
            "body=minibus; mirrors=passenger_gone", after="3.3(a) major"),
    # Horn, 7.7(c): one even note that is not harsh; no bells or sirens but on the very oldest.
    *by_day(HORNS, "horn_steady_from", "1973-08-01", "horn_sound=weak", after="7.7(c) major"),
    *by_day(HORNS, "horn_bell_until", "1906-01-01", "horn_sound=other", after="7.7(c) major"),
    # Speedometer, 7.8.
    *by_day(SPEEDO, "speedometer_from", "1937-10-01", "speedometer=speedo_missing",
            after="7.8(a) major"),
    *by_day(SPEEDO, "speedometer_from", "1937-10-01", "speedometer=speedo_dead",
            after="7.8(b)(ii) major"),
    # Steering lock, 7.3(a).
    *by_day(EDITION_2012, "steering_lock_from", "2001-09-01", "steering_lock=never_locks",
            after="7.3(a) minor"),
    # Lamps.
    *by_day(SECTION_4, "headlamps_from", "1931-01-01", "dipped_beam=out",
            after="4.1.1(a)(ii) major"),
    *by_day(SECTION_4, "headlamps_from", "1931-01-01", "main_beam=out",
            after="4.1.1(a)(ii) major"),
    *by_day(SECTION_4, "headlamps_from", "1931-01-01", "headlamp_looks=none; beam_on_wall=no_edge",
            after="4.1.2(c) major"),
    *by_day(NOTICE_2021, "bulb_match_from", "1986-04-01", "headlamp_bulbs=to_led",
            after="4.1.4(c) major"),
    *by_day(GUIDE_2018, "washers_from", "2009-09-01",
            "headlamp_washers=no_spray; headlamp_kind=led", after="4.1.6(a)(ii) major"),
    *by_day(GUIDE_2018, "washers_from", "2009-09-01",
            "headlamp_washers=no_spray; headlamp_kind=halogen", after="4.1.6(a)(i) minor"),
    *by_day(GUIDE_2018, "daytime_lamps_from", "2018-03-01", "daytime_lamp=out",
            after="4.2.1(a)(ii) major"),
    *by_day(EDITION_2012, "stop_lamps_from", "1936-01-01", "old_stop_lamps=none_lit",
            after="4.3.1(a)(iii) dangerous"),
    *by_day(EDITION_2012, "stop_lamps_from", "1936-01-01", "stop_lamp_timing=stay_on",
            after="4.3.2(a)(iii) dangerous"),
    *by_day(EDITION_2012, "two_stop_lamps_from", "1971-01-01",
            "stop_lamp@nearside=out; stop_lamp@offside=lit", after="4.3.1(a)(ii) major"),
    *by_day(EDITION_2012, "two_stop_lamps_from", "1971-01-01", "old_stop_lamps=one_of_two_out",
            before="4.3.1(a)(ii) major", after="nothing"),
    *by_day(EDITION_2012, "amber_from", "1965-09-01", "indicator_lamp=wrong_colour",
            after="4.4.3(a) major"),
    *by_day(EDITION_2012, "repeaters_from", "1986-04-01",
            "side_repeater=not_fitted; repeater_from_behind=no", after="4.4.1(a)(ii) major"),
    *by_day(EDITION_2012, "hazards_from", "1986-04-01", "hazard_button=not_fitted",
            after="4.4.1(d) major"),
    *by_day(QUOTE_2008, "rear_fog_from", "1980-04-01", "rear_fog=out",
            after="4.5.1(a)(ii) major"),
    *by_day(QUOTE_2008, "rear_fog_from", "1980-04-01", "rear_fog=not_fitted",
            after="4.5.1(a)(ii) major"),
    *by_day(QUOTE_2008, "rear_fog_from", "1980-04-01", "rear_fog=lit; rear_fog_looks=hanging",
            after="4.5.1(c)(ii) major"),
    *by_day(QUOTE_2008, "rear_fog_from", "1980-04-01", "fog_switch=nothing",
            after="4.5.3(a) major"),
    # The day for its tell-tale was not read; it cannot be asked for where no lamp is (assumed).
    *by_day(Text(QUOTE_2008.title, "assumed"), "rear_fog_from", "1980-04-01", "telltales=rear_fog",
            after="4.9.1(a)(ii) major"),
    *by_day(GUIDE_2018, "front_fog_from", "2018-03-01", "front_fog=out",
            after="4.5.1(a)(ii) major"),
    *by_day(GUIDE_2018, "front_fog_from", "2018-03-01", "front_fog=lit; front_fog_looks=broken",
            after="4.5.1(b)(ii) major"),
    *by_day(GUIDE_2018, "reversing_from", "2009-09-01", "reversing_lamps=some_dark",
            after="4.6.1(a) major"),
    *by_day(GUIDE_2018, "reversing_from", "2009-09-01",
            "reversing_lamps=all_lit; reversing_looks=cracked", after="4.6.1(b) major"),
    # Seat belts, 7.1.2(a).
    *by_day(FITMENT, "front_belts_from", "1965-01-01", "driver_belt=none_there",
            after="7.1.2(a) major"),
    *by_day(FITMENT, "front_belts_from", "1965-01-01", "front_passenger_belt=none_there",
            after="7.1.2(a) major"),
    *by_day(FITMENT, "rear_belts_from", "1987-04-01", "back_belts=none_there",
            after="7.1.2(a) major"),
    # Vans and motor caravans may have other days; that the same day is used is assumed.
    *by_day(Text(FITMENT.title, "assumed"), "front_belts_from", "1965-01-01",
            "body=light_van; driver_belt=none_there", after="7.1.2(a) major"),
    *by_day(Text(FITMENT.title, "assumed"), "front_belts_from", "1965-01-01",
            "body=camper; front_passenger_belt=none_there", after="7.1.2(a) major"),
    # Petrol smoke of cars too old for a meter.
    *by_day(EDITION_2012, "petrol_meter_from", "1975-08-01", "petrol_smoke=smoke_on_revs",
            before="8.2.1.2(f) major", after="nothing"),
    # Emission equipment: all from September 2002, older ones where a full catalyst test could
    # apply, which for cars is from August 1995 and never for a van over 3,000 kg.
    *by_day(SECTION_8_2024, "emission_parts_from", "2002-09-01",
            "body=heavy_van; emission_parts=catalyst_out", after="8.2.1.1(a) major"),
    *by_day(SECTION_8_2024, "petrol_catalyst_from", "1995-08-01", "emission_parts=catalyst_out",
            after="8.2.1.1(a) major"),
    # Plates and VIN. The 2012 edition wants black on white and yellow from 1973. Old plates are
    # let through on cars built before 1980 in the historic tax class.
    *by_day(EDITION_2012, "plate_style_from", "2001-09-01",
            "plate_looks=odd_style; plate_style=patterned", after="0.1(d) major"),
    *by_day(DISPLAY_2001, "plate_style_from", "2001-09-01",
            "plate_looks=odd_style; plate_style=gaps", after="0.1(d) major"),
    *by_day(Text(EDITION_2012.title, SECONDARY), "plate_colour_from", "1973-01-01",
            "plate_looks=wrong_colour", before="nothing !nothing",
            after="nothing !before_inspection"),
    *by_day(Text(EDITION_2012.title, SECONDARY), "plate_colour_from", "1973-01-01",
            "plate_looks=wrong_colour; historic_plate=black_other", before="nothing !nothing",
            after="0.1(d) major"),
    *by_day(BLACK_PLATES, "black_plate_until", "1980-01-01", "plate_looks=wrong_colour",
            after="0.1(d) major"),
    *checks(BLACK_PLATES, """
        built_on=1979-12-30 => nothing !keep_an_eye
        built_on=1979-12-31 => nothing !keep_an_eye
        built_on=1980-01-01 => 0.1(d) major
        first_used=1979-12-31; built_on=1980-01-01 => nothing !keep_an_eye
    """, "black_plate_until",
        given="first_used=1980-05-01; plate_looks=wrong_colour; historic_plate=black_historic"),
    *by_day(EDITION_2012, "vin_from", "1980-08-01", "vin_looks=none_found",
            after="0.2(a) major"),
    # What only the station can measure, with the figures of the standard.
    *station_by_day(SECTION_1, "parking_mechanical_from", "1968-01-01", "body=car",
                    after="1.1.6(f) major"),
    *station_by_day(SECTION_1, "foot_brake_from", "2010-09-01", "body=car",
                    before="50 per cent", after="58 per cent"),
    *station_by_day(SECTION_1, "foot_brake_from", "2010-09-01", "body=light_van",
                    before="50 per cent", after="50 per cent"),
    *station_by_day(GAS_PAGES, "petrol_meter_from", "1975-08-01", "fuel=petrol",
                    after="over 4.5 %"),
    *station_by_day(GAS_PAGES, "petrol_meter_from", "1975-08-01", "fuel=petrol",
                    after="1,200 parts"),
    *station_by_day(SECTION_8, "petrol_meter_from", "1975-08-01", "fuel=petrol",
                    after="8.2.1.2(a) major"),
    *station_by_day(GAS_PAGES, "petrol_1986", "1986-08-01", "fuel=petrol",
                    before="over 4.5 %", after="over 3.5 %"),
    *station_by_day(LAW_7B, "petrol_catalyst_from", "1995-08-01", "fuel=petrol",
                    before="over 3.5 %", after="0.2 %"),
    *station_by_day(LETTER, "petrol_listed_from", "1992-08-01", "fuel=petrol",
                    after="0.97 to 1.03"),
    *station_by_day(GAS_PAGES, "diesel_2008", "2008-07-01", "fuel=diesel",
                    before="2.5 per metre", after="1.5 per metre"),
    *station_by_day(GAS_PAGES, "diesel_2008", "2008-07-01", "fuel=diesel",
                    before="3.0 per metre", after="1.5 per metre"),
    *station_by_day(GAS_PAGES, "diesel_2014", "2014-01-01", "fuel=diesel",
                    before="1.5 per metre", after="0.7 per metre"),
]  # fmt: skip

# Limits of our own, with no outside text to check them against.
NO_OUTSIDE_TEXT = {
    "cable_gone": "assumed: only moves the odds of a cause",
    "play_any_wheel": "assumed: only decides whether the steering wheel is measured",
    "pad_thin": "common practice: workshops call a pad thin at 3 mm or so; the standard has 1.5 mm",
    "pad_doubtful": "assumed: 1.5 mm and about 1 mm for judging a pad by eye",
    "tread_early": "common practice: renewal at 3 mm is trade advice; the standard has 1.6 mm",
    "arch_apart": "common practice: only moves the odds of a cause",
    "charging_least": "common practice: 13.5 V; only moves the odds of a cause",
    "charging_most": "the other end of it",
    "coolant_loss_little": "assumed: only moves the odds of a cause",
    "coolant_loss_much": "assumed: a loss that is called fast, with urgency but no item",
    "oil_use_little": "common practice: only moves the odds of a cause",
    "oil_use_much": "common practice: what makers call much; urgency but no item",
    "inspection_year": "assumed: a year to the inspection after the next; no item hangs on it",
    "tread_days_apart": "assumed: a guard of our own",
    "tyre_young_years": "common practice: only moves the odds of a cause",
    "tread_gauge_error": "common practice: 0.2 mm",
    "tyres_on_axle": "two tyres an axle; twin wheels are left out",
    "no_speed": "nothing below the letter of the plate; advice for a car",
    "diameter_least": "common practice: the trade names 2 to 3 per cent",
    "diameter_most": "the other end of it",
    "set_coolest": "assumed: the weather on the day a tyre was set",
    "set_warmest": "the other end of it",
    "air_gauge_error": "assumed: 0.1 bar",
    "pressure_far_low": "assumed: half a bar below the plate; urgency but no item",
    "crack_long": "assumed: 150 mm, past filling; urgency but no item",
    "beam_tape_error": "assumed: a centimetre on the wall",
    "meter_error": "assumed: 0.05 V",
    "frost_guard": "assumed: the frost that coolant should bear in Britain",
    "coldest_known": "an open end: colder than any freezing point in the tables",
    "coolant_tester_error": "assumed: 2 points of strength",
    "coolant_wanted": "common practice: half and half",
    "nothing_to_drain": "nought: nothing to drain",
    "no_imbalance": "nought: the two sides are alike",
    "roller_error": "assumed: 5 kgf",
    "pad_new_least": "from memory: only moves the odds of a cause",
    "pad_new_most": "from memory: only moves the odds of a cause",
    "front_bore": "from memory: only moves the odds of a cause",
    "rear_bore": "from memory: only moves the odds of a cause",
    "bottle_least": "from memory: only moves the odds of a cause",
    "bottle_most": "from memory: only moves the odds of a cause",
    "fall_explained": "assumed: only moves the odds of a cause",
    "fall_too_much": "assumed: only moves the odds of a cause",
    "test_window_days": "assumed: only whether one more question is asked",
}  # fmt: skip

# Items and categories of the defect tables -----------------------------------------------------

BRAKES = checks(SECTION_1, f"""
    pedal_feel=stiff => 1.1.1(a) major
    pedal_feel=sideways => 1.1.1(b) major
    pedal_feel=slow_back => 1.1.2(b)(i) minor
    pedal_feel=stays_down => 1.1.2(b)(ii) major
    pedal_feel=grip_gone => 1.1.2(c) major
    pedal_feel=ridges_flat => 1.1.2(c) major
    pedal_feel=rubber_smooth => nothing
    pedal_hold=floor => 1.1.2(a) major !do_not_drive
    pedal_hold=sinks => 1.1.10(b)(i) major !do_not_drive | {MEMORY}
    pedal_hold=sinks; brake_fluid_level=between => 1.1.10(b)(i) major | common practice
    pedal_hold=soft => 1.1.2 advisory
    servo_dip=dips => nothing
    servo_dip=hardly => 1.1.10(a)(i) major
    servo_dip=rock_hard => 1.1.10(a)(ii) dangerous
    parking_lever_looks=lets_go => 1.1.6(a) major
    parking_lever_looks=rocks => 1.1.6(b)(i) minor
    parking_lever_looks=slips => 1.1.6(b)(ii) major
    parking_lever_looks=high => 1.1.6(c) major
    parking_lever_looks=broken => 1.1.6(d) major
    equipment=electronic_parking_brake; parking_button_looks=dead => 1.1.6(d) major
    lamps_stay_on=parking_brake_fault => 1.1.6(e) major
    brake_fluid_level=between => nothing
    brake_fluid_level=at_min => nothing
    brake_fluid_level=below => 1.1.10(d)(i) minor
    brake_fluid_level=far_below => 1.1.10(d)(ii) major
    brake_fluid_level=empty => 1.1.10(d)(iii) dangerous
    brake_fluid_level=cannot_see => nothing
    brake_reservoir_looks=cap_gone => 1.1.10(e) major
    brake_reservoir_looks=cylinder_moves => 1.1.10(c) major
    brake_reservoir_looks=wet_below => 1.1.10(b)(ii) dangerous
    wet_elsewhere=behind_pedal => 1.1.10(b)(ii) dangerous
    brake_reservoir_looks=wet_pipe => 1.1.11(b)(ii) dangerous
    brake_reservoir_looks=pipe_shakes => 1.1.11(d)(i) minor
    brake_reservoir_looks=pipe_rubs => 1.1.11(d)(ii) major
    brake_reservoir_looks=clip_gone => nothing
    brake_reservoir_looks=dark => 1.8(a) major
    brake_reservoir_looks=layers => 1.8(a) major
    lamps_stay_on=brake; brake_lamp_parking=stays_on => 1.1.10(f) minor
    lamps_stay_on=brake; brake_lamp_parking=goes_out => nothing
    brake_hose_looks@rear_offside=pipe_loose => 1.1.11(d)(ii) major
    brake_hose_looks=deep_cut => 1.1.12(a) dangerous
    brake_hose_looks=scuffed => 1.1.12(b)(i) minor
    brake_hose_looks=threads => 1.1.12(b)(ii) major
    brake_hose_looks=folded => 1.1.12(b)(ii) major
    brake_hose_looks=wet => 1.1.12(c)(ii) dangerous
    brake_hose_looks=swells => 1.1.12(d) major
    pad_look=at_marker => 1.1.13(a)(i) major
    pad_look=metal => 1.1.13(a)(ii) dangerous
    lamps_stay_on=brake_pads => nothing
    disc_looks=deep_lip => 1.1.14(a)(i) major
    disc_looks=crack => 1.1.14(a)(ii) dangerous
    disc_looks=scored => 1.1.14(a) advisory | {SECONDARY}
    disc_looks=oily => 1.1.14(b) major
    disc_looks=gone => 1.1.14(c) dangerous
    disc_looks=rust_film => nothing | common practice
    wheel_wet=yes => 1.1.16(b)(i) major !do_not_drive
    braking_signs=snatched => 1.2.1(c) major
    braking_signs=shook_gently => 1.2.1(e) major
    braking_signs=rattled_hard_stop => nothing | common practice
    braking_signs=wheel_hot => 1.2.1(f) major
    lamps_missing=abs => 1.6(a) major
    lamps_stay_on=abs => 1.6(b) major
    lamps_missing=ebs => 1.7(a) major
    lamps_stay_on=ebs => 1.7(b) major
    brake_reservoir_looks=wet_block => 1.1.7(d)(i) major !do_not_drive
    brake_reservoir_looks=wet_block; recent_events=pulls_braking => 1.1.7(d)(ii) dangerous
    brake_hose_looks=seeps => 1.1.12(e) major
    brake_hose_looks=end_rusty => 1.1.12(f)(i) major
    brake_hose_looks=end_split => 1.1.12(f)(ii) dangerous
    parking_lever_looks=stiff => 1.1.15(e) major
    ride_noises=clonk_reverse => 1.1.16(c)(i) major
    ride_noises=clonk_reverse; recent_events=pulls_braking => 1.1.16(c)(ii) dangerous
    brake_reservoir_looks=part_moves => 1.1.21(c) major
    brake_reservoir_looks=wall_bends => 1.1.21(e)(ii) dangerous
    parking_lever_looks=stays_on => 1.2.1(g) major
    equipment=electronic_parking_brake; parking_button_looks=stays_on => 1.2.1(g) major
    behind_wheel=sensor_off => 1.6(c) major
    behind_wheel=lead_hurt => 1.6(d) major
""")  # fmt: skip

STEERING = checks(SECTION_2, f"""
    steering_turns=rough => 2.1.1(a) major
    steering_boots=box_damp => 2.1.1(e)(i) minor
    steering_boots=box_drips => 2.1.1(e)(ii) major
    steering_boots=boot_aged => 2.1.3(g)(i) minor
    steering_boots=boot_open => 2.1.3(g)(ii) major
    steering_turns=rubs => 2.1.4(a) major
    steering_turns=touches => 2.1.4(b) major
    equipment=hydraulic_steering; steering_fluid=wet => 2.1.5(a) major
    equipment=hydraulic_steering; steering_fluid=below_min => 2.1.5(b)(i) minor
    equipment=hydraulic_steering; steering_fluid=empty => 2.1.5(b)(ii) major
    equipment=hydraulic_steering; steering_turns=heavy => 2.1.5(c)(i) major
    equipment=hydraulic_steering; steering_turns=jerks => 2.1.5(c)(ii) dangerous
    equipment=electric_steering; lamps_stay_on=steering => 2.6(a) major
    equipment=electric_steering; steering_turns=heavy => 2.6(c) major
    wheel_looks=rocks_on_shaft; wheel_rocks_how=little => 2.2.1(a)(i) major
    wheel_looks=rocks_on_shaft; wheel_rocks_how=far => 2.2.1(a)(ii) dangerous
    wheel_looks=rim_broken; rim_broken_how=held => 2.2.1(c)(i) major
    wheel_looks=rim_broken; rim_broken_how=hanging => 2.2.1(c)(ii) dangerous
    wheel_looks=skin_cracked => nothing | {SECONDARY}
    wheel_looks=in_and_out => 2.2.2(a) major
    wheel_looks=sideways => 2.2.2(b) major
    wheel_looks=column_moves; column_moves_how=little => 2.2.2(d)(i) major
    wheel_looks=column_moves; column_moves_how=far => 2.2.2(d)(ii) dangerous
    steering_play=20; rack_look=moves => 2.1.2(a)(ii) dangerous
    steering_play=20; rack_look=still => nothing
    steering_boots=rod_bent => 2.1.3(c)(i) major
    steering_boots=rod_bent; recent_signs=steering_loose => 2.1.3(c)(ii) dangerous
    steering_boots=nut_gone => 2.1.3(d) major
    wheel_looks=slides_off => 2.2.1(b)(ii) dangerous
    wheel_looks=shaft_altered => 2.2.2(e) major
    equipment=hydraulic_steering; steering_fluid=pump_loose => 2.1.5(d)(i) major
    equipment=hydraulic_steering; steering_fluid=pump_rubs => 2.1.5(e)(i) major
    equipment=hydraulic_steering; steering_fluid=hose_hurt => 2.1.5(g)(i) major
    wheel_looks=lever_no_hold => nothing !do_not_drive
""") + checks(SECTION_2, """
    steering_fluid=pump_loose => 2.1.5(c)(ii) dangerous, 2.1.5(d)(ii) dangerous
    steering_fluid=pump_rubs => 2.1.5(c)(ii) dangerous, 2.1.5(e)(ii) dangerous
    steering_fluid=hose_hurt => 2.1.5(c)(ii) dangerous, 2.1.5(g)(ii) dangerous
""", given="equipment=hydraulic_steering; steering_turns=jerks")  # fmt: skip

VISIBILITY = checks(SECTION_3, f"""
    in_view=in_wiped; view_inside=much => 3.1(a)(ii) major
    in_view=in_wiped; view_inside=nothing => nothing
    in_view=permit; view_inside=nothing => nothing
    in_view=permit; view_inside=much => 3.1(a)(ii) major
    in_view=visor_drops; view_inside=much => 3.1(a)(ii) major
    in_view=mirror_hidden => 3.1(a)(ii) major
    in_view=outside_wiped; view_outside=yes => 3.1(a)(i) minor
    in_view=outside_wiped; view_outside=no => nothing
    in_view=sky_only => nothing
    in_view=removable => nothing
    bonnet_catch=lifts => 3.1(b)(ii) dangerous
    bonnet_catch=not_held => 3.1(b)(i) major
    bonnet_catch=catch_worn => 3.1(c) major
    bonnet_catch=hook_bad => nothing
    screen_looks=damage; damage_swept=no; damage_affects=yes => 3.2(a)(i) minor
    screen_looks=damage; damage_swept=no; damage_affects=no => 3.2(a)(i) minor
    screen_looks=repaired => nothing | {SECONDARY}
    screen_looks=rear_glass => nothing | {SECONDARY}
    screen_looks=dark_film; tint_view=yes => 3.2(b)(ii) major
    screen_looks=dark_film; tint_view=no => 3.2(b)(i) minor
    screen_looks=scratched; scratch_view=hardly => nothing
    screen_looks=scratched; scratch_view=scatter => 3.2(c)(i) major
    screen_looks=scratched; scratch_view=hide => 3.2(c)(ii) dangerous
    screen_looks=no_mark_front => 3.2(d) major
    screen_looks=no_mark_other => 3.2(e) major
    mirrors=passenger_gone; first_used=2010-01-25 => nothing
    body=light_van; mirrors=driver_gone => 3.3(a) major | {SECONDARY}
    body=light_van; mirrors=passenger_gone; van_rear_view=no => 3.3(a) major | {SECONDARY}
    body=light_van; mirrors=passenger_gone; van_rear_view=yes => nothing | {SECONDARY}
    mirrors=driver_bad; mirror_view=yes => 3.3(b)(i) minor | {SECONDARY}
    wipers_washers=wiper_dead => 3.4(a) major
    wipers_washers=blade_torn => 3.4(b)(i) minor
    wipers_washers=no_blade => 3.4(b)(ii) major
    wipers_washers=unwiped; smear_kind=lines => 3.4(b)(ii) major
    wipers_washers=unwiped; smear_kind=clean_now => nothing
    wipers_washers=rear_wiper => nothing | {MEMORY}
    wipers_washers=no_water => 3.5(a) major
""")  # fmt: skip

LAMPS = checks(SECTION_4, f"""
    dipped_beam=few_points_out => 4.1.1(a)(i) minor
    dipped_beam=most_points_out => 4.1.1(a)(ii) major
    main_beam=extra_lamp_out => nothing | {MEMORY}
    headlamp_looks=slight => 4.1.1(b)(i) minor
    headlamp_looks@offside=holed => 4.1.1(b)(ii) major
    headlamp_looks=moves => 4.1.1(c) major
    headlamp_looks=dim_lens; beam_on_wall=no_edge => 4.1.1(b)(ii) major, 4.1.2(b) major
    headlamp_looks=masks => nothing
    light_switches=headlamps_slow => 4.1.3(a) minor
    light_switches=no_change_over => 4.1.3(b) major
    dipped_beam=wrong_colour => 4.1.4(a) major
    headlamp_looks=film => 4.1.4(b) major
    headlamp_looks=unlike => 4.1.4(d) major
    headlamp_levelling=beam_stays => 4.1.5(a) major | {MEMORY}
    headlamp_levelling=out_of_reach => 4.1.5(b) major | {SECONDARY}
    body=camper; headlamp_levelling=beam_stays => nothing | {SECONDARY}
    position_lamp@rear_nearside=few_points_out => 4.2.1(a)(i) minor
    position_lamp@rear_nearside=most_points_out => 4.2.1(a)(ii) major
    position_lamp@rear_nearside=out => 4.2.1(a)(ii) major
    first_used=2020-01-01; daytime_lamp=few_points_out => 4.2.1(a)(i) minor | {MEMORY}
    position_looks@rear=cracked => 4.2.1(b) major
    position_looks@rear=loose => 4.2.1(c)(i) minor
    position_looks@rear=hanging => 4.2.1(c)(ii) major
    light_switches=side_nothing => 4.2.2(a) major
    light_switches=tails_off => 4.2.2(a) major
    light_switches=side_jiggled => 4.2.2(b) major
    position_lamp=wrong_way => 4.2.3(a)(ii) major
    position_lamp=very_dim => 4.2.3(a)(ii) major
    position_lamp=other_colour => 4.2.3(a)(i) minor
    position_looks=film => 4.2.3(b)(i) minor
    position_looks=film_heavy => 4.2.3(b)(ii) major
    position_lamp=upset => 4.2.3(c) major
    stop_lamp=few_points_out => 4.3.1(a)(i) minor
    stop_lamp@nearside=most_points_out; stop_lamp@offside=lit => 4.3.1(a)(ii) major
    high_stop_lamp=few_points_out => 4.3.1(a)(i) minor
    high_stop_lamp=out => 4.3.1(a)(ii) major
    stop_looks=cracked => 4.3.1(b)(i) minor
    stop_looks=broken => 4.3.1(b)(ii) major
    stop_looks=loose => 4.3.1(c)(i) minor
    stop_looks=hanging => 4.3.1(c)(ii) major
    stop_lamp_timing=hard_press => 4.3.2(a)(i) minor
    stop_lamp_timing=late => 4.3.2(a)(ii) major
    stop_lamp_timing=stay_on => 4.3.2(a)(iii) dangerous
    stop_lamp=bit_dim => 4.3.3(a)(i) minor
    stop_lamp=wrong_colour => 4.3.3(a)(ii) major
    stop_lamp=flickers => 4.3.3(a)(ii) major
    high_stop_lamp=poor => 4.3.3(a)(ii) major
    stop_lamp=upset => 4.3.3(b) major
    indicator_lamp=few_points_out => 4.4.1(a)(i) minor
    indicator_lamp@rear_offside=out => 4.4.1(a)(ii) major
    side_repeater@offside=out => 4.4.1(a)(ii) major
    side_repeater=not_fitted; repeater_from_behind=yes => nothing
    indicator_looks=cracked => 4.4.1(b)(i) minor
    indicator_looks=broken => 4.4.1(b)(ii) major
    indicator_looks=loose => 4.4.1(c)(i) minor
    indicator_looks=hanging => 4.4.1(c)(ii) major
    hazard_button=nothing_flashes => 4.4.1(e) major
    indicator_stalk=must_be_held => 4.4.2(a)(i) minor
    indicator_stalk=nothing => 4.4.2(a)(ii) major
    hazard_button=button_dead => 4.4.2(a)(ii) major
    indicator_lamp=upset => 4.4.3(b) major
    first_used=2020-01-01; front_fog=few_points_out => 4.5.1(a)(i) minor
    rear_fog=few_points_out => 4.5.1(a)(i) minor
    rear_fog=second_out => nothing | {SECONDARY}
    rear_fog=lit; rear_fog_looks=cracked => 4.5.1(b)(i) minor
    rear_fog=lit; rear_fog_looks=loose => 4.5.1(c)(i) minor
    fog_switch=jiggled => 4.5.3(a) major
    first_used=2020-01-01; front_fog=wrong_colour => 4.5.4(a) major
    rear_fog=wrong_side => 4.5.4(a) major
    rear_fog=upset => 4.5.4(b) major
    reversing_lamps=wrong_colour => 4.6.2(a) major
    reversing_lamps=stay_lit => 4.6.3(a) major
    reversing_lamps=not_fitted => nothing
    reversing_looks=loose => 4.6.1(c)(i) minor
    reversing_looks=hanging => 4.6.1(c)(ii) major
    plate_lamps=shines_back => 4.7.1(a) minor
    plate_lamps=one_out => 4.7.1(b)(i) minor
    plate_lamps=all_out => 4.7.1(b)(ii) major
    plate_lamp_looks=loose => 4.7.1(c)(i) minor
    plate_lamp_looks=hanging => 4.7.1(c)(ii) major
    plate_lamps=not_with_side_lamps => 4.7.2(a) major
    reflector_looks=chipped => 4.8.1(a)(i) minor
    reflector_looks=mostly_gone => 4.8.1(a)(ii) major
    reflector_looks=loose => 4.8.1(b)(i) minor
    reflector_looks=hanging => 4.8.1(b)(ii) major
    reflector_looks=missing => 4.8.2(a)(ii) major | {SECONDARY}
    reflector_looks=shows_white => 4.8.2(a)(ii) major
    reflector_looks=other_colour => 4.8.2(a)(i) minor
    telltales=indicators => 4.9.1(a)(i) minor
    telltales=hazards => 4.9.1(a)(i) minor
    telltales=main_beam => 4.9.1(a)(ii) major
    telltales=hazards_steady => 4.9.2(a) minor
""") + checks(SECTION_4, """
    high_stop_lamp=lit => 4.3.1(a)(ii) major !do_not_drive
    high_stop_lamp=not_fitted => 4.3.1(a)(iii) dangerous
""", given="stop_lamp@nearside=out; stop_lamp@offside=out")  # fmt: skip

ELECTRICS = checks(SECTION_4, """
    equipment=towbar; towing_socket=loose => 4.10(a)(i) minor
    equipment=towbar; towing_socket=hanging => 4.10(a)(ii) major
    equipment=towbar; towing_socket=cover_damaged => 4.10(b)(i) minor
    equipment=towbar; towing_socket=copper_shows => 4.10(b)(ii) major
    equipment=towbar; towing_socket=flap_broken => nothing
    equipment=towbar; socket_pins=thirteen; trailer_board=some_wrong => 4.10(c)(i) major
    equipment=towbar; socket_pins=thirteen; trailer_board=nothing => 4.10(c)(ii) dangerous
    equipment=towbar; socket_pins=seven; trailer_board=nothing => nothing
    wiring_looks=loose => 4.11(a)(i) minor
    wiring_looks=rubbing => 4.11(a)(ii) major
    wiring_looks=near_hot => 4.11(a)(iii) dangerous
    wiring_looks=plug_undone => 4.11(a)(iii) dangerous
    wiring_looks=scuffed => 4.11(b)(i) minor
    wiring_looks=copper_near_metal => 4.11(b)(ii) major
    wiring_looks=cracked => 4.11(c)(i) minor
    wiring_looks=worn_through => 4.11(c)(ii) major
    wiring_looks=scorched => 4.11(c)(iii) dangerous
    fuel=electric; orange_cables=scuffed => 4.11(c)(i) minor !have_looked_at
    fuel=electric; orange_cables=damaged => 4.11(c)(ii) major !do_not_drive
    fuel=electric; orange_cables=melted => 4.11(c)(iii) dangerous !do_not_drive
    battery_looks=moves => 4.13(a)(i) minor
    battery_looks=may_tip => 4.13(a)(ii) major
    battery_looks=leaks => 4.13(b) major
    battery_looks=boxed_in => nothing
""")  # fmt: skip

TYRES = checks(SECTION_5, f"""
    wheel_nuts=all_there => nothing
    wheel_nuts@rear_nearside=one => 5.2.1(a)(i) major
    wheel_nuts@rear_nearside=more => 5.2.1(a)(ii) dangerous
    rim_looks=crack => 5.2.2(a) dangerous
    rim_looks=bent => 5.2.2(c)(i) major
    rim_looks=bead_lift => 5.2.2(c)(ii) dangerous
    rim_looks=nuts_mixed => 5.2.2(d) major
    rim_looks=kerb => nothing | common practice
    body=heavy_van; tyre_rating=yes => 5.2.3(a)(i) major | {SECONDARY}
    body=car; tyre_rating=yes => nothing | {SECONDARY}
    tyre_match=size => 5.2.3(b) major
    tyre_match=spare_on => 5.2.3(b) major
    tyre_match=kind => 5.2.3(c) major
    tyre_match=make => nothing | {MEMORY}
    tyre_match=load_speed => nothing | {SECONDARY}
    tyre_damage=bulge => 5.2.3(d)(ii) dangerous
    tyre_damage=cords => 5.2.3(d)(ii) dangerous
    tyre_damage=tread_lifting => 5.2.3(d)(ii) dangerous
    tyre_damage=tear => 5.2.3(d)(ii) dangerous
    tyre_damage=cut; cut_depth=cords_seen; cut_length=5; tyre_width=205 => 5.2.3(d)(ii) dangerous
    tyre_damage=cracks => 5.2.3(d) advisory | {SECONDARY}
    tyre_fit=rubbing => 5.2.3(f) major
    tyre_fit=recut => 5.2.3(g) major
    tyre_fit=wrong_way => 5.2.3(i) major
    tyre_fit=valve => 5.2.3(j) dangerous
    tyre_fit=not_seated => 5.2.3(k) major
    tyre_fit=soft => 5.2.3(l) minor
    tyre_fit=flat => 5.2.3(l) minor !do_not_drive
    tyre_fit=stretched => nothing
    tyre_fit=plug => nothing | {MEMORY}
    lamps_stay_on=tyre_pressure; tyre_lamp_kind=steady => nothing | {MEMORY}
    body=light_van; lamps_stay_on=tyre_pressure; tyre_lamp_kind=flashes => nothing | {SECONDARY}
""") + checks(CUTS_BLOG, """
    tyre_damage=cut; cut_depth=rubber; cut_length=60; tyre_width=205 => 5.2.3(d)(i) advisory
    tyre_damage=cut; cut_depth=too_deep; cut_length=60; tyre_width=205 => nothing !have_looked_at
""")  # fmt: skip

SUSPENSION = checks(SECTION_5, f"""
    ride_noises=hum_bends => 5.1.3(b)(i) major
    ride_noises=hum_bends; recent_signs=wheel_vibrates => 5.1.3(a)(i) major, 5.1.3(b)(i) major
    ride_noises=grind; recent_signs=wheel_vibrates => 5.1.3(a)(ii) dangerous
    behind_wheel=spring_harm; spring_state=snapped => 5.3.1(b)(i) major
    behind_wheel=spring_harm; spring_state=long_leaf => 5.3.1(b)(ii) dangerous
    behind_wheel=spring_harm; spring_state=gone => 5.3.1(c)(i) major
    behind_wheel=spring_harm; spring_state=cut_short => 5.3.1(d)(i) major
    behind_wheel=spring_rusty => 5.3.1(b) advisory | {SECONDARY}
    behind_wheel=damper_wet => 5.3.2(b) major
    behind_wheel=damper_film => 5.3.2 advisory | common practice
    corner_stand=bounces_on => 5.3.2(d) major
    behind_wheel=part_hangs => 5.3.3(a)(ii) dangerous
    corner_stand=wheel_leans; recent_signs=steering_loose => 5.3.3(a)(ii) dangerous
    behind_wheel=cover_aged => 5.3.4(b)(i) minor
    behind_wheel=cover_split => 5.3.4(b)(ii) major
    equipment=air_suspension; air_springs=stays_down => 5.3.5(a) dangerous
    equipment=air_suspension; air_springs=hiss => 5.3.5(c) major
    behind_wheel=home_made => 5.3.3(c)(i) major
    equipment=air_suspension; air_springs=bag_cracked => 5.3.5(b)(i) major
""") + checks(SECTION_5, """
    equipment=air_suspension; air_springs=bag_cracked => 5.3.5(b)(ii) dangerous
    behind_wheel=home_made => 5.3.3(c)(ii) dangerous
""", given="corner_stand=right_down+stays_put")  # fmt: skip

BODY = checks(SECTION_6, f"""
    rust_seen=rust_sill => 6.1.1(c)(i) major
    rust_seen=rust_mounting => 6.1.1(c)(i) major
    bumper_signs=bumper_moves => 6.1.4(a)(i) major
    bumper_signs=bumper_sharp => 6.1.4(a)(i) major
    bumper_signs=bumper_hangs => 6.1.4(a)(ii) dangerous
    bumper_signs=bumper_scraped => nothing
    equipment=outside_spare; spare_carrier_signs=carrier_broken => 6.1.5(a) major
    equipment=outside_spare; spare_carrier_signs=spare_moves => 6.1.5(b)(i) major
    equipment=outside_spare; spare_carrier_signs=spare_falling => 6.1.5(b)(ii) dangerous
    equipment=towbar; towbar_signs=tow_cracked => 6.1.6(a) major
    equipment=towbar; towbar_signs=tow_worn_thin => 6.1.6(b)(ii) dangerous
    equipment=towbar; towbar_signs=tow_moves => 6.1.6(c)(i) major
    equipment=towbar; towbar_signs=tow_hangs => 6.1.6(c)(ii) dangerous
    equipment=towbar; towbar_signs=tow_hides_part => 6.1.6(f)(i) minor
    equipment=towbar; towbar_signs=tow_hides_plate => 6.1.6(f)(ii) major
    drive_signs=clicks_turning => 6.1.7(c)(i) major
    drive_signs=clonks_hard => 6.1.7(c)(ii) dangerous
    drive_signs=boot_cracked => 6.1.7(g)(i) minor
    drive_signs=boot_split => 6.1.7(g)(ii) major
    drive_signs=engine_lurches => 6.1.8(a)(i) major
    panel_signs=panel_loose => 6.2.1(a)(i) major
    panel_signs=panel_hangs => 6.2.1(a)(ii) dangerous
    panel_signs=panel_dent => nothing
    panel_signs=panel_added => 6.2.1(d)(i) major
    boot_opens=yes => 6.2.1(e) major
    door_signs=stuck_outside => 6.2.3(a) major
    door_signs=stuck_inside_front => 6.2.3(a) major
    door_signs=stuck_inside_back => nothing
    door_signs=wont_close => 6.2.3(a) major
    equipment=sliding_door; sliding_door_opens=yes => 6.2.3(b)(i) major
    door_signs=springs_open => 6.2.3(b)(ii) dangerous
    door_signs=sags => 6.2.3(c)(i) minor
    door_signs=hinge_gone => 6.2.3(c)(ii) major
    floor_signs=floor_rust => 6.2.4(a)(i) major
    floor_signs=floor_hole => 6.2.4(a)(ii) dangerous
    driver_seat_signs=seat_frame => 6.2.5(a)(i) major
    driver_seat_signs=seat_rocks => 6.2.5(a)(ii) dangerous
    driver_seat_signs=slide_stuck => 6.2.5(b)(i) major
    driver_seat_signs=slide_slips => 6.2.5(b)(ii) dangerous
    driver_seat_signs=back_drops => 6.2.5(b)(ii) dangerous
    passenger_seat_signs=p_back_drops => 6.2.6(a)(i) major
    passenger_seat_signs=p_seat_rocks => 6.2.6(a)(ii) dangerous
    control_signs=control_stiff => nothing !gently_to_garage
    control_signs=accelerator_slow => nothing !do_not_drive
    control_signs=accelerator_stuck => nothing !do_not_drive
    exhaust_sound=blows => 6.1.2(a) major
    exhaust_sound=cold_tick => 6.1.2(a) advisory | {SECONDARY}
    exhaust_hold=pipe_swings => 6.1.2(a) major
    exhaust_hold=hanger_broken => nothing
    recent_signs=fumes_inside; fumes_inside_when=none => 6.1.2(b)(i) major !stop_now
    recent_signs=fumes_inside; fumes_inside_when=unwell => 6.1.2(b)(ii) dangerous !stop_now
    fuel_hoses=fuel_damp => 6.1.3(b)(i) major
    fuel_cap_signs=cap_missing => 6.1.3(b)(i) major
    fuel_cap_signs=cap_seal => 6.1.3(b)(i) major
    fuel_cap_signs=cap_locked => nothing
    fuel_hoses=fuel_drips => 6.1.3(b)(ii) dangerous
    ground_patch=fuel_patch => 6.1.3(b)(ii) dangerous
    fuel_hoses=hose_rubs => 6.1.3(c)(i) minor
    fuel_hoses=hose_cracked => 6.1.3(c)(ii) major
    fuel=gas; gas_system_signs=gas_smell => 6.1.3(f) dangerous
    fuel=hydrogen; gas_system_signs=gas_part_loose => 6.1.3(f) dangerous
    fuel_hoses=hangs_hot => 6.1.3(a)(ii) dangerous !do_not_drive
    equipment=towbar; towbar_signs=tow_lock => 6.1.6(d) major
    equipment=towbar; towbar_signs=tow_mark => 6.1.6(e) major
    equipment=towbar; towbar_signs=tow_added => 6.1.6(g)(i) major
    equipment=towbar; towbar_signs=tow_altered => 6.1.6(g)(ii) dangerous
    ride_noises=drone_below => 6.1.7(b)(i) major
    ride_noises=grind_below => 6.1.7(b)(ii) dangerous
    body=light_van; load_body=post_loose => 6.2.1(b)(i) major
    body=heavy_van; load_body=post_gives => 6.2.1(b)(ii) dangerous
    body=car; load_body=post_gives => nothing
    panel_signs=near_wheel => 6.2.1(d)(ii) dangerous
    panel_signs=body_moves => 6.2.2(a)(i) major
    panel_signs=body_shifts => 6.2.2(a)(ii) dangerous
    panel_signs=body_crooked => 6.2.2(b) major
    bumper_signs=step_loose => 6.2.8(a)(i) minor
    bumper_signs=step_drops => 6.2.8(a)(ii) major
    bumper_signs=step_sharp => 6.2.8(b) major
""") + checks(SECTION_6, """
    fumes_inside_when=none => 6.1.2(b)(i) major, 6.2.1(c)(i) major
    fumes_inside_when=unwell => 6.1.2(b)(ii) dangerous, 6.2.1(c)(ii) dangerous
""", given="rust_seen=rust_boot; floor_signs=none; recent_signs=fumes_inside")  # fmt: skip

OTHER = checks(SECTION_7, f"""
    driver_belt=anchor_moves => 7.1.1(b) major
    back_belts=anchor_moves => 7.1.1(b) major
    driver_belt=cut => 7.1.2(b) major
    back_belts=stretched => 7.1.2(b) major
    driver_belt=no_lock => 7.1.2(c) major
    front_passenger_belt=no_lock => 7.1.2(c) major
    driver_belt=buckle => 7.1.2(d) major
    back_belts=buckle => 7.1.2(d) major
    driver_belt=stays_out => 7.1.2(e) major
    front_passenger_belt=stays_out => 7.1.2(e) major
    driver_belt=slow_back => nothing
    restraint_signs=fold_torn => 7.1.3(a) major
    restraint_signs=stalk_low => 7.1.4(a) major
    restraint_signs=airbag_gone => 7.1.5(a) major
    restraint_signs=airbag_open => 7.1.5(c) major
    restraint_signs=child_seat => 7.1.2 advisory | {SECONDARY}
    lamps_stay_on=airbag => 7.1.6(a) major
    lamps_stay_on=airbag_off => nothing | {SECONDARY}
    steering_lock=locks_alone => 7.3(b) dangerous
    horn_sound=nothing => 7.7(a) major
    horn_button=loose => 7.7(b) minor
    horn_sound=weak => 7.7(c) major | {SECONDARY}
    horn_sound=other => 7.7(c) major | {SECONDARY}
    speedometer=speedo_missing => 7.8(a) major
    speedometer=speedo_erratic => 7.8(b)(i) minor
    speedometer=speedo_dead => 7.8(b)(ii) major
    speedometer=speedo_dim => 7.8(c)(i) minor
    speedometer=speedo_dark => 7.8(c)(ii) major
    stability_switch=broken => 7.12(d) major
    lamps_stay_on=stability; stability_button=stays_on => 7.12(e) major
    lamps_stay_on=stability; stability_button=goes_out => nothing
    behind_wheel=sensor_off; stability_switch=works => 1.6(c) major, 7.12(a) major
    behind_wheel=lead_hurt; stability_switch=works => 1.6(d) major, 7.12(b) major
    behind_wheel=lead_hurt; stability_switch=not_fitted => 1.6(d) major
""") + checks(SECTION_8, f"""
    exhaust_sound=louder => 8.1.1(a) major | {SECONDARY}
    exhaust_hold=cover_rattles => 8.1.1(b)(i) major
    exhaust_hold=box_drags => 8.1.1(b)(ii) dangerous
    emission_parts=catalyst_out => 8.2.1.1(a) major
    exhaust_sound=engine_end_blows => 8.2.1.1(b) major
    petrol_smoke=idles_fast => 8.2.1.2(e) major
    petrol_smoke=blue_idle => 8.2.1.2(f) major
    petrol_smoke=cloud_behind => 8.2.1.2(g) major
    fuel=diesel; emission_parts=other_part_out => 8.2.2.1(a) major
    fuel=diesel; exhaust_sound=engine_end_blows => 8.2.2.1(b) major
    fuel=diesel; emission_parts=filter_altered => 8.2.2.1(c) major
    fuel=diesel; diesel_smoke=haze; diesel_filter=yes => 8.2.2.2(d) major
    fuel=diesel; diesel_smoke=haze; diesel_filter=no => nothing
    fuel=diesel; diesel_smoke=diesel_cloud => 8.2.2.2(c) dangerous
    exhaust_hold=tip_blocks => 8.2.1.2(d) major
    petrol_smoke=stalls => 8.2.1.2(d) major
    fuel=electric; exhaust_hold=tip_blocks => nothing
    fuel=diesel; exhaust_hold=tip_blocks => 8.2.2.2(e) major
    fuel=diesel; oil_level=off_stick => 8.2.2.2(e) major | common practice
    fuel=diesel; diesel_smoke=thick_black => 8.2.2.2(f) major
    ground_patch=oily+keeps_running => 8.4.1(a)(ii) dangerous
    ground_patch=clear_water => nothing | {SECONDARY}
    ground_patch=coloured_water => nothing | {SECONDARY}
    fuel=electric; exhaust_sound=blows; emission_parts=catalyst_out => nothing | {MEMORY}
""") + checks(HYBRIDS, """
    fuel=petrol_hybrid; petrol_smoke=blue_idle+idles_fast => nothing !before_inspection
    fuel=petrol_hybrid; petrol_smoke=cloud_behind => nothing !do_not_drive
    fuel=petrol_hybrid; exhaust_sound=engine_end_blows => nothing !before_inspection
    fuel=diesel_hybrid; diesel_smoke=haze; diesel_filter=yes => nothing !before_inspection
    fuel=diesel_hybrid; diesel_smoke=diesel_cloud => nothing !do_not_drive
""") + checks(SECTION_0, f"""
    plate_looks=gone_or_loose => 0.1(a) major
    plate_looks@rear=unreadable => 0.1(b) major
    plate_looks@rear=cracked => 0.1(b) advisory | {SECONDARY}
    plate_looks=wrong_number => 0.1(c) major
    plate_looks=screw => 0.1(d) major
    plate_looks=odd_style; plate_style=letter_shape => 0.1(d) major
    plate_looks=odd_style; plate_style=raised => nothing | {MEMORY}
    plate_looks=gone_or_loose+unreadable+not_british => nothing
    vin_looks=unreadable_vin => 0.2(b) major
    vin_looks=two_different => 0.2(c) major
""")  # fmt: skip

# No item of the standard, but the Highway Code says how pressing it is.
URGENT = checks(CODE_6, """
    recent_signs=fuel_smell => nothing !stop_now
    recent_signs=bonnet_smoke => nothing !stop_now
    recent_signs=overheated => nothing !stop_now
    recent_signs=red_lamp; red_lamp_which=oil => nothing !stop_now
    recent_signs=red_lamp; red_lamp_which=temperature => nothing !stop_now
    recent_events=pulls_braking => nothing !gently_to_garage
    lamps_stay_on=temperature => nothing !stop_now
    pressure_vs_plate=lower => nothing !before_inspection
""")  # fmt: skip

# Where the ruleset does not do what the text says. A check here fails when that changes.
# One fault has one degree, and what fails on its own needs no other answer.
ONE_DEGREE: list[Check] = [
    # the text words 1.1.10(f) as lit or not working, and 1.1.10(g) as dark at its self-check: both
    # are minor, and the ruleset names the second
    *checks(SECTION_1, "lamps_missing=brake => 1.1.10(g) minor"),
    *checks(SECTION_1, "pedal_hold=floor => 1.1.2(a) major, 1.1.16(b)(ii) dangerous",
            given="wheel_wet=yes"),
    *checks(SECTION_2, """
        steering_play=49; steering_kind=rack => 2.3(a)(ii) dangerous
        steering_play=76; steering_kind=box => 2.3(a)(ii) dangerous
    """, given="recent_signs=steering_loose"),
    *checks(SECTION_5, """
        spring_state=gone; recent_signs=steering_loose => 5.3.1(c)(ii) dangerous
        spring_state=cut_short; corner_stand=stays_put => 5.3.1(d)(ii) dangerous
    """, given="behind_wheel=spring_harm"),
    *checks(SECTION_4, """
        high_stop_lamp=out => 4.3.1(a)(iii) dangerous
        high_stop_lamp=lit; third_stop_lamp=no => 4.3.1(a)(iii) dangerous
        high_stop_lamp=lit; third_stop_lamp=yes => 4.3.1(a)(ii) major !do_not_drive
    """,
            given="stop_lamp@nearside=out; stop_lamp@offside=out"),
    *checks(SECTION_4, """
        stop_lamp@offside=out => 4.3.1(a)(ii) major
        stop_lamp@offside=- => 4.3.1(a)(ii) major
    """, given="stop_lamp@nearside=out"),
    *checks(SECTION_5, """
        body=-; tread_depth=0.5 => 5.2.3(e) dangerous
        body=dont_know; tread_depth=0.5 => 5.2.3(e) dangerous
    """),
    *checks(JUNE_2026, "damage_affects=yes; damage_size=41 => 3.2(a)(ii) major",
            given="screen_looks=damage; damage_swept=yes"),
    *checks(SECTION_6, "fumes_inside_when=dont_know => 6.1.2(b)(i) major",
            given="recent_signs=fumes_inside"),
]  # fmt: skip

CHECKS = [
    *FIGURES, *BRAKES, *STEERING, *VISIBILITY, *LAMPS, *ELECTRICS, *TYRES, *SUSPENSION, *BODY,
    *OTHER, *URGENT, *ONE_DEGREE,
]  # fmt: skip


def parameters() -> list[Any]:
    return [
        pytest.param(
            check,
            id=f"{check.line} [{check.only_station or check.figure or check.text.title}]",
        )
        for check in CHECKS
    ]


@pytest.fixture(scope="module")
def consulted(gb_cars: Ruleset) -> Consulted:
    return Consulted(gb_cars)


@pytest.mark.parametrize("check", parameters())
def test_a_car_is_judged_as_the_standard_says(check: Check, consulted: Consulted) -> None:
    result = consulted.of(check.line)
    source = f"{check.text.title} ({check.text.basis})"
    assert result.faults == ()
    assert found_in(result) == check.expected, source
    if check.urgency:
        assert result.urgency.value == check.urgency, source
    station = left_to_station(result)
    assert check.only_station in station, source
    for words in check.never:
        assert words not in station, source


# Whole cars, through the command line ------------------------------------------------------------

WHOLE_CARS: list[tuple[Text, dict[str, Any], int, set[tuple[str, str, str]]]] = [
    # Everything exactly at its limit passes: 1.6 mm of tread, 1.5 mm of pad, a 10 mm chip in
    # zone A, 60 flashes, 13 mm of play. 5.2.3(e), 1.1.13(a)(ii), 3.2(a), 4.4.4(a), 2.3(a)(i).
    (SECTION_5, {
        "name": "at every limit", "today": "2026-01-15",
        "car": {"first_used": "14 June 2015", "fuel": "petrol", "body": "car", "equipment": "none"},
        "answers": {
            "tread_depth": {"all": "1.6 mm"}, "thinnest_pad": "1.5 mm", "steering_play": "13 mm",
            "steering_kind": "rack", "flash_count": "60", "flash_seconds": "60",
            "screen_looks": ["damage"],
            "damage_swept": "yes", "damage_affects": "yes", "damage_size": "10 mm",
            "damage_offset": "0 mm",
        },
    }, 0, {
        ("5.2.3(e)", "advisory", "front_nearside"), ("5.2.3(e)", "advisory", "front_offside"),
        ("5.2.3(e)", "advisory", "rear_nearside"), ("5.2.3(e)", "advisory", "rear_offside"),
        ("1.1.13(a)(ii)", "advisory", ""), ("3.2(a)(i)", "minor", ""),
    }),
    # The same car one step worse everywhere.
    (SECTION_5, {
        "name": "one step over", "today": "2026-01-15",
        "car": {"first_used": "14 June 2015", "fuel": "petrol", "body": "car", "equipment": "none"},
        "answers": {
            "tread_depth": {"front left": "1.5 mm", "rear left": "1.6 mm"},
            "thinnest_pad": "1 mm", "steering_play": "49 mm", "steering_kind": "rack",
            "flash_count": "122", "flash_seconds": "60", "screen_looks": ["damage"],
            "damage_swept": "yes",
            "damage_affects": "yes", "damage_size": "11 mm", "damage_offset": "0 mm",
        },
    }, 1, {
        ("5.2.3(e)", "dangerous", "front_nearside"), ("5.2.3(e)", "advisory", "rear_nearside"),
        ("1.1.13(a)(ii)", "dangerous", ""), ("2.3(a)(i)", "major", ""),
        ("4.4.4(a)", "minor", ""), ("3.2(a)(ii)", "major", ""),
    }),
    # A car of 1970: one mirror, no hazard lamps, no rear fog lamp, no back belts, black plates,
    # no VIN and one working stop lamp are all as they should be. Days of 2012 and before.
    (EDITION_2012, {
        "name": "car of 1970", "today": "2026-01-15",
        "car": {"first_used": "31 December 1970", "fuel": "petrol", "body": "car",
                "equipment": "none"},
        "answers": {
            "mirrors": ["driver_gone", "passenger_gone"], "hazard_button": "not fitted",
            "telltales": ["rear_fog"], "back_belts": ["none_there"],
            "plate_looks": {"all": ["wrong_colour"]}, "old_stop_lamps": "all_lit",
            "side_repeater": {"all": "not fitted"}, "steering_lock": ["never_locks"],
        },
    }, 0, set()),
    # The same answers, where they concern it, of a car of 1990.
    (EDITION_2012, {
        "name": "car of 1990", "today": "2026-01-15",
        "car": {"first_used": "1 March 1990", "fuel": "petrol", "body": "car",
                "equipment": "none"},
        "answers": {
            "mirrors": ["driver_gone", "passenger_gone"], "hazard_button": "not fitted",
            "telltales": ["rear_fog"], "back_belts": ["none_there"],
            "plate_looks": {"all": ["wrong_colour"]}, "vin_looks": ["none_found"],
            "side_repeater": {"all": "not fitted"}, "repeater_from_behind": {"all": "no"},
            "steering_lock": ["never_locks"], "rear_fog": "not fitted",
        },
    }, 1, {
        ("3.3(a)", "major", ""), ("4.4.1(d)", "major", ""), ("4.9.1(a)(ii)", "major", ""),
        ("7.1.2(a)", "major", ""), ("0.1(d)", "major", "front"), ("0.1(d)", "major", "rear"),
        ("0.2(a)", "major", ""), ("4.4.1(a)(ii)", "major", "nearside"),
        ("4.4.1(a)(ii)", "major", "offside"), ("4.5.1(a)(ii)", "major", ""),
    }),
    # A diesel van over 3,000 kg: the rating of its tyres counts, tyre pressure monitoring does
    # not (5.2.3(a)(i) and (h), secondary copy); smoke with a filter fails, 8.2.2.2(d).
    (SECTION_8, {
        "name": "diesel van", "today": "2026-01-15",
        "car": {"first_used": "2016-05-09", "fuel": "diesel", "body": "heavy_van",
                "equipment": "towbar"},
        "answers": {
            "tyre_rating": "yes", "lamps_stay_on": ["tyre_pressure", "engine"],
            "tyre_lamp_kind": "flashes", "diesel_smoke": ["haze"], "diesel_filter": "yes",
            "towbar_signs": ["tow_worn"], "tow_worn_by": "6 mm", "tow_full_size": "20 mm",
            "wheel_nuts": {"rear right": "more"},
        },
    }, 1, {
        ("5.2.3(a)(i)", "major", ""), ("8.2.2.2(g)", "major", ""), ("8.2.2.2(d)", "major", ""),
        ("6.1.6(b)(i)", "major", ""), ("5.2.1(a)(ii)", "dangerous", "rear_offside"),
    }),
    # An electric car: nothing of fuel, exhaust or smoke is asked of it (from memory).
    (SECTION_4, {
        "name": "electric car", "today": "2026-01-15",
        "car": {"first_used": "2021-02-01", "fuel": "electric", "body": "car",
                "equipment": "electric steering"},
        "answers": {
            "orange_cables": "damaged", "brake_fluid_level": "below",
            "daytime_lamp": {"all": "out"},
            "lamps_stay_on": ["steering"],
        },
    }, 1, {
        ("4.11(c)(ii)", "major", ""), ("1.1.10(d)(i)", "minor", ""), ("2.6(a)", "major", ""),
        ("4.2.1(a)(ii)", "major", "nearside"), ("4.2.1(a)(ii)", "major", "offside"),
    }),
]  # fmt: skip


@pytest.fixture(scope="module")
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.mark.parametrize(
    ("text", "car", "code", "expected"),
    WHOLE_CARS,
    ids=[car["name"] for _, car, _, _ in WHOLE_CARS],
)
def test_whole_cars_through_the_command_line(
    text: Text,
    car: dict[str, Any],
    code: int,
    expected: set[tuple[str, str, str]],
    own_cache: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Source: the texts named beside each car in WHOLE_CARS. Basis: as in the lines above."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(own_cache))
    file = tmp_path / "car.json"
    file.write_text(json.dumps(car), encoding="utf-8")
    assert run(["judge", "--json", str(file)]) == code
    out = capsys.readouterr()
    assert out.err == ""
    found = {(f["item"], f["category"], f["at"]) for f in json.loads(out.out)["findings"]}
    assert {row for row in found if row[0]} == expected, text.title


# The table itself -----------------------------------------------------------------------------


def limits_read(ruleset: Ruleset) -> dict[str, list[Inference]]:
    """Every limit that stands in a condition, or that a number in one is worked out with."""
    found: dict[str, list[Inference]] = {}
    for inference in ruleset.inferences.values():
        for leaf in leaves(inference.condition):
            for name in {getattr(leaf, "limit", ""), *behind(ruleset, leaf.name)}:
                if name in ruleset.limits:
                    found.setdefault(name, []).append(inference)
    return found


def behind(ruleset: Ruleset, name: str) -> set[str]:
    """All names that a worked-out number rests on."""
    near = set(ruleset.graph.reads(name)) if name not in ruleset.inferences else set[str]()
    return near.union(*(behind(ruleset, other) for other in near))


def test_every_limit_is_here_or_has_no_outside_text(gb_cars: Ruleset) -> None:
    read = set(limits_read(gb_cars))
    here = {check.figure for check in FIGURES}
    assert read - here - set(NO_OUTSIDE_TEXT) == set(), "limits that no outside figure checks"
    assert here & set(NO_OUTSIDE_TEXT) == set()
    assert (here | set(NO_OUTSIDE_TEXT)) - read == set(), "no condition reads these any more"


def test_every_limit_is_checked_one_step_either_side(gb_cars: Ruleset) -> None:
    """In each block of FIGURES some answer moves by one step, and the outcome with it."""
    for figure in {check.figure for check in FIGURES}:
        block = [check for check in FIGURES if check.figure == figure]
        moved = 0
        for one in block:
            for two in block:
                (name, low, high) = only_change(gb_cars, one, two)
                if name and high - low == pytest.approx(step_of(gb_cars, name)):
                    same = (one.expected, one.urgency, one.only_station) == (
                        two.expected, two.urgency, two.only_station
                    )  # fmt: skip
                    moved += not same
        assert moved, f"{figure}: nothing changes from one step to the next"


def only_change(ruleset: Ruleset, one: Check, two: Check) -> tuple[str, float, float]:
    """The one number in which two checks differ, if they differ in one only."""
    given, other = one.answers, two.answers
    changed = [name for name in given.keys() | other.keys() if given.get(name) != other.get(name)]
    if len(changed) != 1:
        return "", 0, 0
    values = [typed(ruleset, changed[0], g.get(changed[0], "dont_know")) for g in (given, other)]
    numbers = [float(v.toordinal()) if isinstance(v, dt.date) else v for v in values]
    if not all(isinstance(n, float) for n in numbers):
        return "", 0, 0
    return changed[0], numbers[0], numbers[1]  # type: ignore[return-value]


def step_of(ruleset: Ruleset, name: str) -> float:
    return ruleset.questions[name.partition("@")[0]].step


def test_every_use_of_a_limit_is_crossed(gb_cars: Ruleset, consulted: Consulted) -> None:
    """Each condition that reads a limit, and leads to an item, is true and not true beside it."""
    missing = []
    for figure, inferences in limits_read(gb_cars).items():
        block = [check for check in FIGURES if check.figure == figure]
        for inference in inferences:
            finds = inference.rule is not None and inference.rule.finds
            leads = inference.says_whom or finds
            if figure in NO_OUTSIDE_TEXT or not leads:
                continue
            seen = set()
            for check in block:
                question = inference.name.removeprefix("applies: ")
                if question != inference.name and question not in " ".join(check.answers):
                    continue
                result = consulted.of(check.line)
                parts = gb_cars.members(inference.axis)
                seen.add(any(result.result.truth(inference.name, at) is True for at in parts))
            if seen != {True, False}:
                missing.append((figure, inference.name))
    assert missing == []


def test_every_number_beside_a_limit_is_on_both_sides(
    gb_cars: Ruleset, consulted: Consulted
) -> None:
    """The comparison itself comes out true and false in the block of its limit."""
    for inference in gb_cars.inferences.values():
        for leaf in leaves(inference.condition):
            if not isinstance(leaf, Number) or leaf.limit in NO_OUTSIDE_TEXT:
                continue
            seen = set()
            for check in FIGURES:
                if check.figure != leaf.limit:
                    continue
                axis = gb_cars.names[leaf.name].axis
                for at in gb_cars.members(axis):
                    reading = consulted.of(check.line).readings.reading(leaf.name, at)
                    if reading.lo is not None and reading.hi is not None:
                        seen.add(compare(reading.lo, reading.hi, leaf.op, leaf.value))
            assert {True, False} <= seen, (inference.name, leaf)


def test_every_rule_that_names_an_item_is_reached(gb_cars: Ruleset, consulted: Consulted) -> None:
    reached = {
        finding.rule.rule for check in CHECKS for finding in consulted.of(check.line).findings
    }
    naming = {i.name for i in gb_cars.rules if i.rule is not None and i.rule.finds}
    assert naming - reached == set()


def test_every_system_is_checked(gb_cars: Ruleset, consulted: Consulted) -> None:
    counts: dict[str, int] = dict.fromkeys(gb_cars.systems, 0)
    for check in CHECKS:
        extra = {
            n.partition("@")[0] for n in check.line.partition("=>")[0].replace(";", "=").split("=")
        }
        asked = {name.strip() for name in extra} & set(gb_cars.questions)
        for system in {gb_cars.system_of[name] for name in asked}:
            counts[system] += 1
    print("\nchecks by system: " + ", ".join(f"{s} {n}" for s, n in counts.items()))
    no_item = {"certificate", "engine", "worries", "starting", "running", "gearbox", "equipment",
               "water", "drive_battery", "walk"}  # fmt: skip
    """No rule there names an item of the standard."""
    assert {s for s, n in counts.items() if n < 5} == no_item
    assert not any(rule.finds for system in no_item for rule in gb_cars.systems[system].rules)
    assert not any(rule.urgency for rule in gb_cars.systems["certificate"].rules)
    assert len(CHECKS) >= 90


def test_every_check_names_its_text_and_basis() -> None:
    known = {"read", SECONDARY, MEMORY, "common practice", "assumed"}
    for check in CHECKS:
        assert check.text.title
        assert check.text.basis in known, check.line
