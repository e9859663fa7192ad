"""What `import suncover` offers: the one list of public names, and where each is made."""

from .base.atomic import write_all as write_all
from .base.clock import (
    dates_bounds as dates_bounds,
)
from .base.clock import (
    in_season as in_season,
)
from .base.clock import (
    iso_local as iso_local,
)
from .base.clock import (
    local_date as local_date,
)
from .base.errors import (
    Fault as Fault,
)
from .base.errors import (
    FileFaults as FileFaults,
)
from .base.errors import (
    RequestError as RequestError,
)
from .base.errors import (
    SuncoverError as SuncoverError,
)
from .base.spell import Spell as Spell
from .compare.indoors import IndoorDay as IndoorDay
from .compare.indoors import Indoors as Indoors
from .compare.indoors import indoors as indoors
from .compare.money import Worth as Worth
from .compare.overhangs import BestOverhang as BestOverhang
from .compare.overhangs import Swept as Swept
from .compare.plan_heat import PlanHeat as PlanHeat
from .compare.plan_heat import plan_heat as plan_heat
from .compare.seen_sun import SeenDay as SeenDay
from .compare.seen_sun import SeenSun as SeenSun
from .compare.seen_sun import seen_sun as seen_sun
from .compare.summary import Line as Line
from .compare.summary import Summary as Summary
from .compare.summary import summarize as summarize
from .compare.year import Comparison as Comparison
from .compare.year import Outcome as Outcome
from .compare.year import compare_year as compare_year
from .export.files.audit_json import audit_json as audit_json
from .export.files.compare_csv import compare_csv as compare_csv
from .export.files.compare_json import compare_json as compare_json
from .export.files.day_json import day_json as day_json
from .export.files.facing_csv import facing_csv as facing_csv
from .export.files.plan_csv import plan_csv as plan_csv
from .export.files.plan_ics import plan_ics as plan_ics
from .export.files.plan_read import plan_from_text as plan_from_text
from .export.files.plan_read import read_plan as read_plan
from .export.files.plan_rrule_ics import plan_rrule_ics as plan_rrule_ics
from .export.files.spells_csv import (
    hours_csv as hours_csv,
)
from .export.files.spells_csv import (
    hours_pieces as hours_pieces,
)
from .export.files.spells_csv import (
    spots_csv as spots_csv,
)
from .export.files.sun_json import hours_json as hours_json
from .export.files.sun_json import spots_json as spots_json
from .export.frames.frame import frame as frame
from .export.text.dial_card import dial_card as dial_card
from .export.text.dial_card import dial_card_csv as dial_card_csv
from .facade.by_angles import window_profile_angle as window_profile_angle
from .facade.by_angles import window_sunlit as window_sunlit
from .facade.daylight import Daylight as Daylight
from .facade.exposure import (
    find_exposures as find_exposures,
)
from .facade.exposure import (
    glass_of as glass_of,
)
from .facade.exposure import (
    observer_of as observer_of,
)
from .facade.exposure import (
    spot_scene as spot_scene,
)
from .facade.exposure import (
    window_scene as window_scene,
)
from .facade.frame import (
    Slopes as Slopes,
)
from .facade.frame import (
    direction as direction,
)
from .facade.frame import (
    incidence_angle as incidence_angle,
)
from .facade.frame import (
    profile_angle as profile_angle,
)
from .facade.frame import (
    shadow_slopes as shadow_slopes,
)
from .facade.frame import (
    window_axes as window_axes,
)
from .facade.glazed import (
    Glass as Glass,
)
from .facade.glazed import (
    Plate as Plate,
)
from .facade.glazed import (
    fin_plate as fin_plate,
)
from .facade.glazed import (
    overhang_plate as overhang_plate,
)
from .facade.hours import hours as hours
from .facade.hours import hours_seconds as hours_seconds
from .facade.hours import peaks as peaks
from .facade.hours import spots as spots
from .facade.periods import Period as Period
from .facade.periods import periods as periods
from .facade.plates import sunlit_fraction as sunlit_fraction
from .facade.reach import Level as Level
from .facade.reach import reach as reach
from .facade.reach import sun_patch as sun_patch
from .facade.scene import SpotScene as SpotScene
from .facade.scene import WindowScene as WindowScene
from .facade.twilight import light_intervals as light_intervals
from .facing.estimate import Facing as Facing
from .facing.walls import WallStudy as WallStudy
from .facing.walls import study_walls as study_walls
from .heat.by_angles import GlassLight as GlassLight
from .heat.by_angles import window_gain as window_gain
from .heat.by_angles import window_light as window_light
from .heat.by_row import RowLight as RowLight
from .heat.by_row import light_by_row as light_by_row
from .heat.by_row import view_factors as view_factors
from .heat.view_factors import Views as Views
from .plan.audit import (
    Audit as Audit,
)
from .plan.audit import (
    ShadeAudit as ShadeAudit,
)
from .plan.audit import (
    audit_plan as audit_plan,
)
from .plan.best.plans import BestPlan as BestPlan
from .plan.best.plans import best_plans as best_plans
from .plan.best.weigh import Price as Price
from .plan.closings.shade_plan import (
    Closing as Closing,
)
from .plan.closings.shade_plan import (
    ShadePlan as ShadePlan,
)
from .plan.closings.shade_plan import (
    Uncovered as Uncovered,
)
from .plan.closings.shade_plan import (
    make_shade_plan as make_shade_plan,
)
from .plan.day_plan import (
    ShadeDay as ShadeDay,
)
from .plan.day_plan import (
    SunDay as SunDay,
)
from .plan.day_plan import (
    plan_day as plan_day,
)
from .plan.day_plan import (
    sun_day as sun_day,
)
from .plan.motor import QuietMove as QuietMove
from .plan.needs import Want as Want
from .plan.needs import needed_spells as needed_spells
from .plan.other_year import moved_to_year as moved_to_year
from .plan.peaks import closing_peaks as closing_peaks
from .plan.replay import (
    Overload as Overload,
)
from .plan.room_sun import SpotDose as SpotDose
from .plan.season import (
    ShadeSun as ShadeSun,
)
from .plan.season import (
    doses as doses,
)
from .plan.season import (
    light_of as light_of,
)
from .plan.season import (
    plans_for as plans_for,
)
from .plan.season import (
    reaches as reaches,
)
from .plan.season import (
    season_plan as season_plan,
)
from .plan.season import (
    shade_sun as shade_sun,
)
from .plan.slight import SlightSun as SlightSun
from .plan.slight import slight_sun as slight_sun
from .plan.summary import (
    PlanSummary as PlanSummary,
)
from .plan.summary import (
    ShadeSummary as ShadeSummary,
)
from .plan.summary import (
    Step as Step,
)
from .plan.summary import (
    steps_by_rules as steps_by_rules,
)
from .plan.summary import (
    summary_of as summary_of,
)
from .plan.timers.dial import Dial as Dial
from .plan.timers.settings import Setting as Setting
from .plan.timers.settings import TimerPlan as TimerPlan
from .plan.timers.variants import Variant as Variant
from .plan.timers.variants import VariedPlans as VariedPlans
from .plan.timers.variants import vary as vary
from .report.gather import ReportData as ReportData
from .report.gather import gather_report as gather_report
from .report.page.report_page import report_page as report_page
from .report.pictures.figure import Figure as Figure
from .report.pictures.figures import report_figures as report_figures
from .site.file.sitefile import (
    load_site as load_site,
)
from .site.file.sitefile import (
    site_from_tables as site_from_tables,
)
from .site.file.sitefile import (
    site_from_text as site_from_text,
)
from .site.file.sitefile import (
    with_named_files as with_named_files,
)
from .site.light_log import LightLog as LightLog
from .site.light_log import read_light as read_light
from .site.model import Fin as Fin
from .site.model import Place as Place
from .site.model import Site as Site
from .site.model import Window as Window
from .site.needs import (
    Fading as Fading,
)
from .site.needs import (
    Glare as Glare,
)
from .site.needs import (
    Need as Need,
)
from .site.needs import (
    Privacy as Privacy,
)
from .site.needs import (
    ShadeNeed as ShadeNeed,
)
from .site.needs import (
    Sleep as Sleep,
)
from .site.notes import site_notes as site_notes
from .site.options import Money as Money
from .site.options import Option as Option
from .site.parts import (
    Canopy as Canopy,
)
from .site.parts import (
    Glazing as Glazing,
)
from .site.parts import (
    Obstacle as Obstacle,
)
from .site.parts import (
    Overhang as Overhang,
)
from .site.parts import (
    Roller as Roller,
)
from .site.parts import (
    Spot as Spot,
)
from .site.parts import (
    Tree as Tree,
)
from .site.parts import (
    Weather as Weather,
)
from .site.shades import Shade as Shade
from .site.sharing import (
    DatedException as DatedException,
)
from .site.sharing import (
    EventMeaning as EventMeaning,
)
from .site.sharing import (
    Group as Group,
)
from .site.sharing import (
    HouseCalendar as HouseCalendar,
)
from .site.sharing import (
    Supply as Supply,
)
from .site.sightings import (
    Sighting as Sighting,
)
from .site.sightings import (
    read_sightings as read_sightings,
)
from .site.sightings import (
    sightings_from_text as sightings_from_text,
)
from .site.tape.keys import Wall as Wall
from .site.temperature_log import TemperatureLog as TemperatureLog
from .site.temperature_log import read_temperature as read_temperature
from .site.weights import Best as Best
from .sun.clearsky import clear_sky_dni as clear_sky_dni
from .sun.position import (
    Observer as Observer,
)
from .sun.position import (
    SunPosition as SunPosition,
)
from .sun.position import (
    sun_directions as sun_directions,
)
from .sun.position import (
    sun_position as sun_position,
)
from .sun.weather.files import read_weather as read_weather
from .sun.weather.frames import weather_from_frame as weather_from_frame
from .sun.weather.load import load_weather as load_weather
from .sun.weather.year import WeatherYear as WeatherYear
