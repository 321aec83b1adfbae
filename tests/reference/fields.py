"""Which number of the JSON answers is compared where: command, member (as a shell pattern), comparison or "- why not".

A number that is not in this list, and one that is listed but was met and never compared, fail the run.
"""
import fnmatch

TABLE = """
*       seed                        common
*       accepted_risk               common
*       dry_risk                    common
*       *interval_95.*              common
*       measured.*.values           measured values
*       measured.*.least_chance     measured values
*       elapsed_s                   - how long it took
*       evaluations                 - how it was computed
chance  landed.mean                 chance landed mean
chance  landed.standard_deviation   chance landed sd
chance  landed.quantiles.*          chance landed quantile
chance  landed.quantile_error       - how sure the quantiles are
chance  *.limit                     chance limit
chance  below_minimum.*             chance below_minimum
chance  above_maximum.*             chance above_maximum
chance  outside.*                   chance outside
chance  run_dry.floor               chance floor
chance  run_dry.*                   chance run_dry
chance  clicked_off_early.*         chance clicked_off_early
chance  met                         chance met
chance  clearly                     chance clearly
chance  dry_met                     chance dry met
chance  told_by_dispenser.heel_before.*  chance heel_before
chance  told_by_dispenser.heel_after.*   chance heel_after
chance  told_by_dispenser.landed_before.*  chance landed as planned mean
chance  between.*.after_fill        chance between fills
chance  between.*.landed.*          chance between landed mean
chance  between.*.before.below_minimum.* chance between before below_minimum
chance  between.*.before.above_maximum.* chance between before above_maximum
chance  between.*.before.outside.*  chance between before outside
chance  between.*.before.met        chance between before met
chance  between.*.below_minimum.*   chance between below_minimum
chance  between.*.above_maximum.*   chance between above_maximum
chance  between.*.outside.*         chance between outside
chance  between.*.met               chance between met
chance  importance_sampling         - how it was computed
chance  lines.correlation.*         carry chance landed
fill    nominal_amount              fill nominal amount
fill    safe_amount                 fill safe amount
fill    margin                      fill margin
fill    margin_cost                 fill margin cost
fill    largest_amount              fill largest amount
fill    again_from                  fill again from
fill    room                        fill room
fill    outside_at_safe.*           fill outside_at_safe
fill    outside_at_nominal.*        fill outside_at_nominal
fill    clicked_off_early_at_safe.* fill clicked_off_early_at_safe
fill    met                         fill met
fill    instead.least_*             fill least chance
fill    instead.highest_indicated   fill instead highest
fill    instead.dry_risk_at_highest fill dry risk at the highest
fill    instead.second_indicated    fill second reading
fill    instead.tested_content      fill tested content
fill    between.*.after_fill        fill between fills
fill    between.*.landed.*          fill between landed mean
fill    between.*.before.*.limit    fill between before limit
fill    between.*.before.below_minimum.* fill between before below_minimum
fill    between.*.before.above_maximum.* fill between before above_maximum
fill    between.*.before.outside.*  fill between before outside
fill    between.*.before.met        fill between before met
fill    between.*.below_minimum.limit fill between limit
fill    between.*.above_maximum.limit fill between limit
fill    between.*.below_minimum.*   fill between below_minimum
fill    between.*.above_maximum.*   fill between above_maximum
fill    between.*.outside.*         fill between outside
fill    between.*.met               fill between met
fill    instead.between.*.after_fill fill instead between fills
fill    instead.between.*.landed.*  fill instead between landed mean
fill    instead.between.*.before.*.limit fill instead between before limit
fill    instead.between.*.before.below_minimum.* fill instead between before below_minimum
fill    instead.between.*.before.above_maximum.* fill instead between before above_maximum
fill    instead.between.*.before.outside.* fill instead between before outside
fill    instead.between.*.before.met fill instead between before met
fill    instead.between.*.below_minimum.limit fill instead between limit
fill    instead.between.*.above_maximum.limit fill instead between limit
fill    instead.between.*.below_minimum.* fill instead between below_minimum
fill    instead.between.*.above_maximum.* fill instead between above_maximum
fill    instead.between.*.outside.* fill instead between outside
fill    instead.between.*.met       fill instead between met
heel    highest_indicated           heel highest
heel    lowest_indicated            heel lowest
heel    window.*                    heel window
heel    nominal_highest             heel nominal highest
heel    lowest_for_limits           heel lowest for limits
heel    risk_at_lowest              heel risk at the lowest
heel    dry_risk_at_highest         heel dry risk at the highest
heel    second_indicated            heel second reading
heel    outside_at_highest.*        heel outside_at_highest
heel    *_distance_left_km          heel distance left
heel    drive_km                    heel drive
heel    farthest_km                 heel farthest
heel    met                         heel met
arrive  limit                       arrive limit
arrive  never.*                     arrive never
arrive  burn.*                      arrive burn quantile
arrive  time.*                      arrive time quantile
arrive  rail_*.burn                 arrive rail
arrive  rail_*.time                 arrive rail time
arrive  rail_*.estimate.*           arrive rail
arrive  wait_for.reading            arrive reading
arrive  wait_for.guard_band         arrive guard band
arrive  wait_for.too_early.*        arrive too early
arrive  wait_for.triggers           arrive triggers
arrive  wait_for.alike.*            - how sure the reading is
arrive  wait_for.burn.*             arrive wait burn quantile
arrive  wait_for.time.*             arrive wait time quantile
arrive  waiting.rows.*.burn         arrive waiting rows
arrive  waiting.rows.*.time         arrive waiting time
arrive  waiting.rows.*.reading      arrive waiting reading
arrive  waiting.rows.*.shown_by_then  arrive waiting shown
arrive  waiting.rows.*.within       arrive waiting within
arrive  waiting.every               arrive waiting triggers
arrive  waiting.until               arrive waiting triggers
arrive  waiting.triggers            arrive waiting triggers
arrive  waiting.too_early.*         arrive waiting too early
arrive  gap.chance.*                arrive gap chance
arrive  gap.leaves.burn.*           arrive leaves burn quantile
arrive  gap.leaves.time.*           arrive leaves time quantile
arrive  gap.burn.*                  arrive gap burn quantile
arrive  gap.time.*                  arrive gap time quantile
arrive  enough.burn                 arrive enough
arrive  enough.time                 arrive enough time
arrive  enough.burn_standard_error  - how sure the amount is
arrive  enough.outside.*            arrive outside at enough
arrive  beyond_other.limit          arrive limit
arrive  beyond_other.*              arrive beyond the other
arrive  met                         arrive met
update  readings                    update readings
update  skipped                     update readings
update  now.*                       update now
update  landed.*                    update landed quantile
update  rail_now.*                  update rail quantile
update  *.limit                     update limit
update  below_minimum.*             update below
update  above_maximum.*             update above
update  rail_outside.*              update rail outside
update  burn_left.*                 update burn left quantile
update  time_left.*                 update time left quantile
update  enough_left.burn            update enough left burn
update  enough_left.time            update enough left time
update  bias.mean                   update bias mean
update  bias.standard_deviation     update bias sd
update  effective_cases             - it is the error of the others
update  fit                         update fit
update  met                         update met
update  lines.correlation.*         carry update landed
drivers safe_amount                 drivers safe amount
drivers highest_indicated           drivers highest
drivers outside.*                   drivers outside
drivers inputs.*.first_order.*      drivers first order
drivers inputs.*.total.*            drivers total
drivers inputs.*.safe_amount_*      drivers safe if known
drivers inputs.*.highest_indicated_*  drivers if known highest
drivers inputs.*.margin_saved       drivers margin_saved
drivers inputs.*.heel_gained        drivers heel_gained
drivers inputs.*.outside_if_known   drivers outside if known
table   cells.*.chance              table chance
table   cells.*.standard_error      table chance
table   cells.*.safe_amount         table amount
table   cells.*.largest_amount      table largest amount
table   cells.*.again_from          table again from
table   cells.*.highest_indicated   table highest
table   cells.*.lowest_for_limits   table lowest
curve   points.*.value              curve value
curve   points.*.amount             curve amount
curve   points.*.landed.mean        curve landed mean
curve   points.*.landed.standard_deviation  curve landed sd
curve   points.*.landed.quantiles.* curve landed quantile
curve   points.*.estimate.*         curve chance
curve   crossings.*.value           curve crossing
policy  places.*.*                  policy places
policy  *places.*.amount            policy amount
policy  *places.*.margin            policy margin
policy  *places.*.chance.*          policy chance
policy  *any_miss.*                 policy any miss
policy  *any_miss_independent.*     policy any miss, independent
policy  *any_miss_once.*            policy any miss, one change a pump
policy  costs.*at_least             policy costs
policy  costs.*misses.*             policy costs
policy  costs.*                     policy costs
policy  *.misses.*                  policy misses
policy  *.accepted_risk             policy risks
policy  *.changes                   policy places
policy  *_left_out                  policy places
policy  *.extra_fuel                policy extra fuel
policy  *.extra_cost                policy extra fuel
policy  extra_fuel_of_same_changes.*  policy costs
learn-log *rows                     learn log rows
learn-log *rows_of_car              learn log rows
learn-log same_delivery_days        learn log days
learn-log *season.asked             learn log season told
learn-log *season.told              learn log season told
learn-log *season.*                 learn log season
learn-log *tests                    learn log tests
learn-log *deliveries               learn log deliveries
learn-log *undated                  learn log undated
learn-log *partings                 learn log partings
learn-log *pumps.*.mean             learn log mean
learn-log *pumps_alike              learn log alike
learn-log *test_sd                  learn log test_sd
learn-log *delivery_sd              learn log delivery_sd
learn-log *pump_sd                  learn log pump_sd
learn-log *next_delivery.center     learn log next_delivery center
learn-log *next_delivery.scale      learn log next_delivery scale
learn-log *next_delivery.dof        learn log next_delivery dof
learn-log *new_pump.center          learn log next_delivery center
learn-log *new_pump.scale           learn log next_delivery scale
learn-log *new_pump.dof             learn log next_delivery dof
learn-log *sensor.checks            learn log checks
learn-log *sensor.checks_of_all     learn log checks
learn-log *sensor.cars              learn log checks
learn-log *sensor.own               learn log noise
learn-log *sensor.noise             learn log noise
learn-log *sensor.tester_explains_all  learn log noise
learn-log *sensor.mean              learn log sensor mean
learn-log *sensor.standard_deviation  learn log sensor sd
learn-log *sensor.bias.center       learn log bias center
learn-log *sensor.bias.scale        learn log bias scale
learn-log *sensor.bias.dof          learn log bias dof
learn-log *slope                    learn log slope
learn-log *slope_chance             learn log slope
learn-log *sensor.sensors_alike     learn log sensors alike
learn-log *sensor.between_sd        learn log between
learn-log *gauge.fills              learn log fills
learn-log *gauge.heels              learn log fills
learn-log *gauge.standard_deviation learn log gauge sd
learn-log *gauge.gauge_error.center learn log gauge_error center
learn-log *gauge.gauge_error.scale  learn log gauge_error scale
learn-log *gauge.gauge_error.dof    learn log gauge_error dof
learn-log *rank_correlation         learn log rank
learn-log *left_out.*               - lines of the log, which the unit tests name
learn-changeover rows               learn rows
learn-changeover bins               - how it was computed
learn-changeover *.value            learn against the truth
learn-changeover *.standard_error   learn standard error
learn-changeover *.determined       learn least squares
learn-changeover rate_logged        learn rows
learn-changeover residual_sd        learn residual sd
learn-changeover expected_sd        learn expected sd
learn-changeover correlation_length - widens the errors, which are compared
learn-changeover last_share         learn last share
learn-changeover stirred_sum.*      - only where two stirred volumes cannot be told apart
learn-changeover rate_scatter       - in the errors, which are compared
learn-changeover off_lines.*        - left out of both fits
learn-changeover drift.*            - such logs are skipped
"""
ROWS = [line.split(None, 2) for line in TABLE.strip().splitlines()]


class Fields:
    """The numbers met in the program's answers."""

    def __init__(self):
        self.met = {}  # number: what it should have been compared by, or None

    def watch(self, command, answer):
        self.walk(command, "", answer)

    def walk(self, command, path, value):
        if isinstance(value, dict):
            for name, inner in value.items():
                self.walk(command, f"{path}.{name}" if path else name, inner)
        elif isinstance(value, list):
            for inner in value:
                self.walk(command, path + ".*", inner)
        elif isinstance(value, (int, float)) and (command, path) not in self.met:
            self.met[command, path] = next((text for of, pattern, text in ROWS if of in ("*", command)
                                            and fnmatch.fnmatchcase(path, pattern)), None)

    def problems(self, made):
        """Numbers not listed, and numbers that their comparison never took up."""
        unlisted = [f"{command} {path} is not in the list of fields.py" for (command, path), text in self.met.items()
                    if text is None]
        return unlisted + [f"{command} {path} was never compared as '{text}'"
                           for (command, path), text in self.met.items()
                           if text and not text.startswith("- ") and text not in made]
