#include "answer/words.hpp"

#include <cassert>
#include <unordered_map>

#include "scenario/correlation.hpp"

namespace blendrisk::answer {
namespace {

/// `id = words`, one a line. Words of the page (`guide.`) are markup.
constexpr std::string_view k_words = R"words(
caution.1 = Fuel is flammable and its vapour travels: no flames or sparks, ventilate, and never drain, siphon or run down a tank in ways that the car's manual advises against.
caution.2 = Right after a fill the engine still burns the old fuel of the line, whatever the tank holds.
caution.3 = Never rely on a computed chance alone. A fuel-content sensor or a test of the fuel itself beats any estimate: read it before loading the engine.
caution.4 = What content the engine bears, at which load, is for the makers of the car and of its calibration to say.
caution.5 = The chances rest on the inputs given. A very small one rests on the far tails of their laws; read it as small, not as a count.
caution.6 = A change of fuel or calibration can touch emissions and what local law allows; check both.
caution.7 = For work on a customer's car, a licensed practice decides.
caution.short = Never rely on a computed chance alone: test the fuel. The engine burns the line's old fuel first.

label.title = title
label.tank.capacity = capacity of the tank
label.tank.click-off = volume in the tank at click-off
label.tank.pickup-floor = pickup floor (pump draws air)
label.heel.indicated = old fuel left, as indicated
label.heel.distance-left = distance left, as indicated
label.heel.economy = fuel use the indication reckons
label.heel.reserve = old fuel left at distance 0
label.heel.gauge-error = gauge error (true - indicated)
label.heel.content = content of the old fuel
label.heel.reading = sensor's reading before the fill
label.sensor.bias = sensor's bias (reading - true)
label.sensor.noise = sensor's noise, sd per reading
label.sensor.step = sensor's display step
label.sensor.lag = sensor's time constant
label.line.reservoir = stirred volume at the pump
label.line.filter = stirred volume of the filter
label.line.pipe = pipe from reservoir to filter
label.line.pipe-flow = flow in the pipe
label.line.return-flow = fuel pumped back to the tank
label.line.beyond-sensor = stirred volume beyond the sensor
label.line.content = content in the line at first
label.engine.idle = fuel burned at idle
label.engine.gentle = fuel burned in gentle driving
label.engine.schedule = driving after the fill
label.limits.minimum = minimum content
label.limits.maximum = maximum content
label.limits.accepted-risk = accepted risk of a miss
label.limits.dry-risk = accepted risk of running dry
label.fill.content = content from the pump
label.fill.meter-error = meter error, relative
label.fill.hose-volume = fuel left in the hose
label.fill.hose-content = content in the hose
label.fill.price = price of the fuel
label.fill.amount = amount on the dispenser
label.fill.burn-first = burned since the last fill
label.fill.indicated = fuel left, as indicated
label.fill-n = fill {1}: {2}
label.correlation = rank correlation (Spearman)

written = {1} is written.
unknown = unknown
untitled = Untitled
none = none
range = {1} to {2}
exact = exact
and = {1} and {2}

heading.chances = Chance of
heading.chance = chance
heading.interval = 95 % interval
heading.assumed = What was assumed
heading.measured = What measured values bear
heading.computed = How it was computed
heading.notes = Notes
heading.cautions = Cautions
heading.ways = What would do
assumed.default = {1} (default)

row.below = landing below {1}
row.above = landing above {1}
row.outside = landing outside the limits
row.dry = running dry (below {1})
row.early = clicking off early
row.mean = mean
row.sd = standard deviation
row.median = median
row.middle = 95 % of cases
row.method = method
row.conditioned = conditioned on
row.evaluations = evaluations
row.seed = seed

method.exact = exact
method.conditional = conditional
method.points = points
method.plain = plain
conditioned = {1}, {2}
bound_by.measured = measured values

dry.too_often = RUNS DRY TOO OFTEN: the chance that the heel is below the pickup floor before a fill is {1}, above the accepted {2}.
dry.what = Running dry stalls the engine, maybe in traffic, and the help to steer and brake goes with it; an electric pump in the tank is cooled by its fuel and may be damaged.
between_fills = What the tank holds between the fills, and which calibration bears it, this answer does not tell: `chance` for the first fill alone tells what it then holds; whether to keep to the old calibration, and to a light load, is for the calibration's maker to say.
ways.none = Another fuel, or other limits: with these it is far from enough.
ways.two.here = Two fills: fill until the nozzle clicks off, drive down to {2} or less, and fill until it clicks off again, with fuel of the same kind from another delivery (one delivery twice would need a lower reading).
ways.two.from = Two fills: run down to {1}, fill until the nozzle clicks off, drive down to {2} or less, and fill until it clicks off again, with fuel of the same kind from another delivery (one delivery twice would need a lower reading).
ways.two.here.limits = Two fills: fill until the nozzle clicks off, drive down to {2}, and fill until it clicks off again, with fuel of the same kind from another delivery (one delivery twice would need a lower reading).
ways.two.from.limits = Two fills: run down to {1}, fill until the nozzle clicks off, drive down to {2}, and fill until it clicks off again, with fuel of the same kind from another delivery (one delivery twice would need a lower reading).

note.held = {1} was held at its physical bound in {2} of cases
note.measured = The {1} measured values of {2} bear no chance below about {3} that rests on what lies beyond them: more tests, a law such as tests(...) or the one that learn prints, or a window, in [low, high], of what it can be at all, bear smaller ones.
note.bound = {1}: read the upper end of interval_95 as a bound

chance.within = WITHIN the accepted risk of {1}: the chance of landing outside the limits is {2}.
chance.above = NOT WITHIN the accepted risk of {1}: the chance of landing outside the limits is {2}.
chance.within.unclear = WITHIN the accepted risk of {1}, but not clearly: the chance of landing outside the limits is {2}.
chance.above.unclear = NOT WITHIN the accepted risk of {1}, but not clearly: the chance of landing outside the limits is {2}.
chance.interval = {1}, 95 % interval {2}
chance.clearly.within = The whole interval lies within it.
chance.clearly.above = The whole interval lies above it.
chance.few = Measured values are too few to bear a smaller one, so they do not decide it (see below).
chance.undecided.cases = The interval reaches across the accepted risk, so this run does not decide it; more --cases may.
chance.undecided.precision = The interval reaches across the accepted risk, so this run does not decide it; a smaller --precision, or more --cases, may.
chance.landed = Landed content
chance.row.points = points
chance.points.leaned = leaned toward the miss
chance.row.error = standard error
chance.error = {1} (outside the limits)
chance.error.relative = {1}, {2} of the chance (outside the limits)
chance.row.stopped = stopped because
chance.stopped.few = measured values bear no smaller chance
chance.stopped.exact = the answer is exact
chance.stopped.precision = the precision of {1} was reached
chance.stopped.cases = the {1} cases asked for were spent
chance.stopped.budget = the budget was spent before the precision of {1} was reached
stop.exact = exact
stop.precision = precision reached
stop.budget = budget spent

none.not_finite = not a finite number
none.minimum = the scenario has no limits.minimum
none.maximum = the scenario has no limits.maximum
none.estimate = was not estimated
none.metered = the last fill is not metered
none.conditioned = the method conditions on no input
none.nominal = no amount reaches the limits with every input at its mean
none.margin = there is no margin
none.price = the scenario has no price
none.largest = no limit binds before the tank is full
none.again = no larger amount is outside the risk first
none.way = would not do, or is no change
none.reading = no reading meets the accepted risk
none.dry_reading = no reading meets the dry risk
none.nominal_reading = no reading reaches the limits with every input at its mean
none.lower = no lower reading is outside the accepted risk
none.window = there is a window
none.second = two fills to click-off would not do
none.economy = the scenario has no heel.economy, or less than the reserve is left

fill.put_in = PUT IN {1} as the dispenser shows it:
fill.put_in.last = PUT IN, AT FILL {2}, {1} as the dispenser shows it:
fill.margin.more = {1} more than the arithmetic says.
fill.margin.less = {1} less than the arithmetic says.
fill.margin.none = just what the arithmetic says.
fill.least.more = the least is {1} more than the arithmetic says.
fill.least.less = the least is {1} less than the arithmetic says.
fill.least.none = the least is just what the arithmetic says.
fill.chance = The chance of landing outside the limits is then {1}, within the accepted risk of {2}.
fill.chance.least = The chance of landing outside the limits is at the least amount {1}, within the accepted risk of {2}.
fill.largest = Up to the largest amount it stays within it.
fill.beyond = More than that is not.
fill.beyond.again = More than that is not, until from {1} on the risk is met again: of these separate ranges, the one with the least fuel is advised.
fill.why_margin = At the amount that the arithmetic says it would be {1}: the margin is there for what is not known exactly.
fill.nothing = NOTHING NEEDS TO BE PUT IN: as it is, the chance of being outside the limits is {1}, within the accepted risk of {2}.
fill.nothing.up_to = Up to {1} is within it, too.
fill.none = NO AMOUNT WILL DO: {1}. The lowest chance, {2}, comes with {3}; the accepted risk of {4} is asked for.
fill.click_off = filling until the nozzle clicks off
fill.amounts = Amounts on the dispenser
fill.row.nominal = by arithmetic (all at their means)
fill.row.safe = safe
fill.row.margin = margin
fill.row.largest = largest, before a limit binds
fill.row.again = within the risk again from
fill.row.room = room in the tank, all at their means
fill.no_nominal = no amount does
fill.costs = {1}, costs {2} at the price given
fill.saves = {1}, saves {2} at the price given
fill.row.outside_nominal = outside, by arithmetic
fill.row.outside_safe = outside, at the safe amount
fill.row.early = nozzle clicks off first
fill.landed = Landed content at the safe amount
fill.way.down = Run the tank down to {1} indicated (now {2}), then fill until the nozzle clicks off.
fill.way.down.first = Run the tank down to {1} indicated (now {2}) before the first fill, then fill as written, the last time until the nozzle clicks off.
fill.way.dry_unknown = Whether that runs it dry is not told: the scenario gives no pickup floor.
fill.way.dry_within = The chance of running it dry is then {1}, within the dry risk of {2}.
fill.way.dry_above = The chance of running it dry is then {1}, more than the dry risk of {2}.
fill.way.test.more = Test the pump first: a tested content of {1} or more would do, filling until the nozzle clicks off.
fill.way.test.less = Test the pump first: a tested content of {1} or less would do, filling until the nozzle clicks off.
fill.way.accept = Accept a risk of {1}: whether an engine bears that is not for a computation to say.

heel.indicated = {1} indicated
heel.indicated.left = {1} indicated, {2} left
heel.down = RUN DOWN TO {1}.
heel.down.exactly = RUN DOWN TO {1}, neither more nor less.
heel.down.between = RUN DOWN TO {1}, and not below {2}.
heel.then.fill = Then fill until the nozzle clicks off.
heel.then.written = Then fill as written.
heel.chance = The chance of landing outside the limits is {1} from there, within the accepted risk of {2}.
heel.now_less = It shows {1} now, which is less than that already.
heel.none = NO READING WILL DO: {1}.
heel.way.accept = Accept a risk of {1} in place of {2}: then {3} does. Whether an engine bears that is not for a computation to say.
heel.way.accept_dry = Accept a chance of running dry of {1} in place of {2}: then {3} does.
heel.way.know = Know the inputs better: test the pump, measure the old fuel, learn what the gauge is off by. With every input at its mean there would be a window.
heel.readings = Readings before the fill
heel.readings.first = Readings before the first fill
heel.row.nominal = highest by arithmetic (all means)
heel.row.highest = highest within the accepted risk
heel.row.lowest_limits = lowest within the accepted risk
heel.row.lowest = lowest within the dry risk
heel.row.now = now
heel.row.outside = outside, from the highest
heel.row.dry = running dry, there
heel.landed = Landed content from the highest

less_than = less than {1}
more_than = more than {1}
burned = {1} burned
both = {1}, {2}
in_brackets = {1} ({2})
middle_and_range = {1} (95 %: {2} to {3})
none.hardly_shows = hardly any case shows the reading
none.hardly_arrives = hardly any case arrives
none.rate = the scenario has no rate for engine.schedule
none.rate_or_arrival = the scenario has no rate for engine.schedule, or none arrives
none.other_limit = the scenario has one limit
none.tank_outside = the tank itself is outside the limit too often
none.amount = no amount meets the accepted risk
none.amount_to_compare = there is no amount to compare
none.reading_to_compare = there is no reading to compare
list.more = {1} and more
list.clause = {1}; {2}

arrive.all = All
arrive.nearly_all = More than 99 %
arrive.nothing = NOTHING TO WAIT FOR: the fuel in the line is within {1} already.
arrive.no_reading = NO READING WILL DO: {1}.
arrive.wait.more = WAIT FOR {1} OR MORE ON THE SENSOR, held over several looks.
arrive.wait.less = WAIT FOR {1} OR LESS ON THE SENSOR, held over several looks.
arrive.shows = {1} of the cases ever show it; then the injectors still get {2} in {3} of those (accepted: {4}).
arrive.shows.burn = {1} of the cases ever show it, after about {5}; then the injectors still get {2} in {3} of those (accepted: {4}).
arrive.shows.time = {1} of the cases ever show it, after about {5}, {6}; then the injectors still get {2} in {3} of those (accepted: {4}).
arrive.shows.burned = {1} burned (90 %: {2} to {3})
arrive.shows.takes = {1} ({2} to {3})
arrive.not_shown = Where it does not show, go by what is burned, but never while it shows {1}.
arrive.alike = Readings from {1} to {2} lie within the error of this estimate.
arrive.exact_sensor = That leaves no room for the sensor's own error: the scenario gives it none (sensor.bias, sensor.noise).
arrive.other.above = ABOVE THE MAXIMUM TOO OFTEN: the tank lands above {1} in {2} of cases, more than the accepted risk of {3}. No waiting mends that: do not switch.
arrive.other.below = BELOW THE MINIMUM TOO OFTEN: the tank lands below {1} in {2} of cases, more than the accepted risk of {3}. No waiting mends that: do not switch.
arrive.no_burn = WITHOUT A SENSOR NO BURNED AMOUNT IS ENOUGH: {1}.
arrive.burn = WITHOUT A SENSOR, BURN {1}: then the chance that the injectors still get {2} is {3}.
arrive.burn.time = WITHOUT A SENSOR, BURN {1} ({4} as scheduled): then the chance that the injectors still get {2} is {3}.
arrive.give_or_take = Give or take {1}: the chance falls slowly there.
arrive.until.least = Until the injectors get at least {1}
arrive.until.most = Until the injectors get at most {1}
arrive.row.middle = 95 % of cases that get it
arrive.row.burned = burned
arrive.row.never = never
arrive.hardly_any = hardly any case gets it
arrive.rail = Chance that the injectors still get {1} after
note.exact_sensor = The scenario gives the sensor no error (sensor.bias, sensor.noise): the reading to wait for leaves no room for one.
note.no_time = Without engine.idle, or what engine.schedule needs, there is no time.

update.other.above = DO NOT SWITCH: the tank is above the maximum in {1} of cases, more than the accepted risk of {2} allows, and no waiting mends that.
update.other.below = DO NOT SWITCH: the tank is below the minimum in {1} of cases, more than the accepted risk of {2} allows, and no waiting mends that.
update.within = WITHIN THE ACCEPTED RISK: the chance that the injectors now get {1} is {2} (accepted: {3}).
update.not_yet = NOT YET: the chance that the injectors now get {1} is {2} (accepted: {3}).
update.burn.low = Burn {1} more to bring it as low as these cases show.
update.burn.well = Burn {1} more to bring it well within the accepted risk of {2}.
update.not_shown = NOT SHOWN TO BE WITHIN: the chance that the injectors now get {1} is {2} (accepted: {3}).
update.not_clearly = NOT CLEARLY YET: the chance that the injectors now get {1} is {2} (accepted: {3}), and so few cases do not tell it well enough.
update.not_clearly.none = NOT CLEARLY YET: the chance that the injectors now get {1} is {2} (accepted: {3}), and {4} cases, worth {5} independent ones, show no chance below {6}.
update.another = Another reading may tell more.
update.not_within = NOT WITHIN THE ACCEPTED RISK, and waiting will not bring it there: the tank itself holds {1} in more cases than the accepted risk of {3} allows. The chance that the injectors now get {1} is {2}.
update.never_shown = This answer counts {1} cases, which show no chance below {2}: no reading can confirm the accepted risk of {3} by them.
update.after.one = After {1} reading, {2}
update.after = After {1} readings, {2}
update.row.now = content at the injectors now
update.row.tank = content that the tank landed at
update.row.bias = sensor's bias
update.row.left = left to burn
update.row.rail = injectors {1}
update.row.below = tank below {1}
update.row.above = tank above {1}
update.row.cases = cases
update.bias = {1} +- {2} (one standard deviation)
update.hardly_any = hardly any case gets within the limit
update.method = cases of the scenario weighed by the readings (tempered)
update.cases = {1}, worth {2} independent ones
note.no_line = The scenario gives the line no volume (line.reservoir, filter, pipe, beyond-sensor): what the sensor shows is taken to be in the tank and at the injectors at once.
note.no_bias = The scenario gives the sensor no bias (sensor.bias): the chances leave no room for one.
note.poor_fit = The readings fit the scenario badly: so far off come fewer than 1 in {1}. Check the sensor, the units and the volumes of the line.
note.display = The scenario gives neither sensor.noise nor sensor.step: readings are taken as rounded to 1 %.
note.grouped = Readings are averaged in {1} groups of neighbours.
line = {1}: {2} shown. {3}: injectors {4}, {5} in {6}
line.within = WITHIN. {1} Now
line.other = DO NOT SWITCH, THE OTHER LIMIT IS MISSED
line.not_shown = NOT SHOWN TO BE WITHIN ({1} cases, worth {2} independent ones, show no chance below {3})
line.not_yet = NOT YET
line.not_within = NOT WITHIN, AND WAITING WILL NOT DO
line.burn = burn {1} more
line.tank = tank {1} in {2}
line.poor_fit = the readings fit the scenario badly
line.no_odds = NO ODDS: {1}
unread.one = The log's column {1} is not read.
unread.one.time = The log's column {1} is not read: times become burned fuel by engine.schedule and its rates alone.
unread.one.rates = The log's column {1} is not read: times become burned fuel by engine.schedule and its rates alone, whatever rate was logged; burned_l in place of time_s is taken as it is.
unread.many = The log's columns {1} are not read.
unread.many.time = The log's columns {1} are not read: times become burned fuel by engine.schedule and its rates alone.
unread.many.rates = The log's columns {1} are not read: times become burned fuel by engine.schedule and its rates alone, whatever rate was logged; burned_l in place of time_s is taken as it is.

deed = Knowing "{1}"
deed.fuel.content = Testing the pump
deed.fill-n.content = Testing the pump of fill {1}
deed.heel.content = Measuring the old fuel
deed.heel.gauge-error = Knowing what the gauge is off by
deed.sensor.bias = Knowing what the sensor is off by
deed.tank.click-off = Knowing where the nozzle clicks off
drivers.saves.first = {1} saves {2} of margin, if it turns out as its mean.
drivers.saves = {1} saves {2} of margin.
drivers.enough.first = {1} makes {2} enough, where now no amount is, if it turns out as its mean.
drivers.enough = {1} makes {2} enough, where now no amount is.
drivers.allows.first = {1} allows {2} more of old fuel, if it turns out as its mean.
drivers.allows = {1} allows {2} more of old fuel.
drivers.certain = NOTHING IS UNCERTAIN: there is nothing to know better.
drivers.no_single = No single input, known exactly, changes the amount or the reading by more than its display shows.
drivers.known = Known exactly
drivers.safe = safe
drivers.heel = heel
drivers.alone = alone
drivers.in_all = in all
drivers.nothing = nothing (as things are)
drivers.legend = safe: the least amount on the dispenser; heel: the highest reading before the fill; alone and in all: the share of the landed content's variance that comes from this input alone, and with all it does together with others.
drivers.legend.correlated = safe: the least amount on the dispenser; heel: the highest reading before the fill; alone: the share of the landed content's variance that goes when this input is known, with what it tells of those it is correlated with; in all: the share that is left when all others are known.
drivers.method = Sobol' indices of the landed content; safe amounts with one input at its mean
drivers.row.chances = chances
curve.title = {1}, along {2}.
curve.name = {1} {2}
curve.name.colon = {1} {2}:
curve.chance.below = Chance of landing below {1}
curve.chance.above = Chance of landing above {1}
curve.chance.minimum = Chance of landing below the minimum
curve.chance.maximum = Chance of landing above the maximum
curve.chance.outside = Chance of landing outside the limits
curve.amount = Safe amount on the dispenser
curve.landed = Landed content: median and middle 95 %
curve.arrival = Chance that the injectors still get {1} after {2}
curve.within.up_to = Within the accepted risk of {1} up to {2}.
curve.within.from = Within the accepted risk of {1} from {2} on.
curve.within.everywhere = Everywhere along it within the accepted risk of {1}.
curve.within.nowhere = Nowhere along it within the accepted risk of {1}.
curve.row.points = points

table.amount = The smallest amount on the dispenser that keeps the chance of landing outside the limits within the accepted risk of {1}, and the largest where a limit binds before the tank is full.
table.amount.varies = The smallest amount on the dispenser that keeps the chance of landing outside the limits within the accepted risk, and the largest where a limit binds before the tank is full.
table.heel = The highest reading from which the fill keeps the chance of landing outside the limits within the accepted risk of {1}, and the lowest where less is outside it.
table.heel.varies = The highest reading from which the fill keeps the chance of landing outside the limits within the accepted risk, and the lowest where less is outside it.
table.chance = The chance of landing outside the limits.
table.not_dry = Running dry is not asked here; `heel` tells.
table.down = down:
table.across = across:
table.marked = {1} *
table.again = *: there are larger amounts that are within the risk again, with others between that are not; the range with the least fuel is told.
table.none = none: {1}.
table.row.cells = cells
none.cell.largest = where a cell has none, no limit binds before the tank is full
none.cell.lowest = where a cell has none, no lower reading is outside the accepted risk
none.cell.again = where a cell has none, no larger amount is within the risk again

figure.curve = The curve
figure.points = {1} of its {2} points
figure.points.only = its only point
figure.points.all = all of its points
figure.none = {1}: {2} have no value.
figure.none.one = {1}: {2} has no value.
figure.none.reason = {1}: {2} have no value: {3}.
figure.none.reason.one = {1}: {2} has no value: {3}.
figure.off.below = {1}: {2} lie below what this picture shows.
figure.off.below.one = {1}: {2} lies below what this picture shows.
figure.off.above = {1}: {2} lie above what this picture shows.
figure.off.above.one = {1}: {2} lies above what this picture shows.
figure.level.below = {1} lies below what this axis shows.
figure.level.above = {1} lies above what this axis shows.
figure.mark.outside = {1} lies outside this picture.
figure.shade.small = The shade of what lies {1} is too small to be seen.
figure.dot = Dot without a label: {1}.
figure.dot.of = Dot without a label of {2}: {1}.
figure.line = Straight line without a label: {1}.
figure.small = {1} of {2} chances are too small to be told from 0 here; without --linear they are.
figure.ends = {1}; where a curve ends no amount will do beyond
figure.many_crossings = {1} crosses the accepted risk at {2} places, which are not named here.
figure.risk = accepted risk {1}
figure.by = {1}, by {2}
figure.minimum = minimum {1}
figure.maximum = maximum {1}
figure.curve.alt = {1}, along {2}, from {3} to {4}.
figure.no_amount = no amount meets the accepted risk at any value
figure.two_values = a curve needs two values at least
figure.below_minimum = below the minimum
figure.above_maximum = above the maximum
figure.landed.x = Landed content (%)
figure.landed.y = How likely each content is; outside the limits, {1}
figure.landed.shaded = How likely each content is; shaded: outside the limits, {1}
figure.landed.alt = Spread of the landed content: median {1}, 95 % of cases between {2} and {3}; outside the limits in {4}.
figure.rail.x = Burned since the fill ({1})
figure.rail.x.time = Burned since the fill ({1}), and the time it takes at the median rates
figure.rail.y = Content at the injectors: median, and shaded the middle 90 %
figure.rail.y.sensor = Content at the injectors: median, and shaded the middle 90 %; dashed, what the sensor shows: median, with its own error and lag
figure.rail.minimum = minimum {1} at the injectors
figure.rail.maximum = maximum {1} at the injectors
figure.rail.wait = wait until the sensor shows {1}
figure.injectors = injectors
figure.injectors_and_sensor = injectors, and what the sensor shows
figure.sensor = sensor
figure.rail.alt.minimum = Content at the injectors against what was burned: from {1} to {2} after {3}, with the minimum of {4}.
figure.rail.alt.maximum = Content at the injectors against what was burned: from {1} to {2} after {3}, with the maximum of {4}.
figure.rail.alt.minimum.reading = Content at the injectors against what was burned: from {1} to {2} after {3}, with the minimum of {4} and the reading of the sensor to wait for, {5}.
figure.rail.alt.maximum.reading = Content at the injectors against what was burned: from {1} to {2} after {3}, with the maximum of {4} and the reading of the sensor to wait for, {5}.
figure.drivers.x = Share of the variance (%); thin lines: 95 % interval
figure.drivers.y = What the spread of the landed content comes from
figure.alone = alone: what comes from this input by itself
figure.in_all = in all: with all it does together with others
figure.alone.correlated = alone: what goes when this input is known, with what it tells of those it moves with
figure.in_all.correlated = in all: what is left when all others are known
figure.correlated = Some inputs move together: what they have in common counts in the share alone of each, and in no share in all, so that neither kind adds up to 100 %.
figure.certain = No input is uncertain: there is no share to show.
figure.no_share = the share cannot be told
figure.drivers.alt = Bars of each input's share of the variance of the landed content, alone and in all: {1}.
figure.drivers.alt.none = Bars of each input's share of the variance of the landed content, alone and in all.
figure.drivers.alt.input = {1} {2} and {3}

item = - {1}
learn.tests = From {1}: {2}. The next delivery lies between {3} and {4} with a chance of 95 %.
learn.summary = {1} tests, mean {2}, standard deviation {3}, from {4} to {5}
learn.one_test = {1} test, too few for a law
learn.equal = {1} tests, all equal, no law
learn.no_name = (no name)
learn.same_fuel = Only if all these tests are of the very fuel that will be pumped, what is not known is their mean, and in place of the above:
learn.groups = By group, to put in its place:
learn.law = Law of one further delivery from n tests: t with n - 1 degrees of freedom about their mean, scale s sqrt(1 + 1/n), as if normal (prediction interval, ISO 16269-8, from memory).
learn.note.each = Every test counts as a delivery of its own: where several tests are of one delivery, the law is too narrow.
learn.note.few = Few tests say little about the spread: the law has heavy tails, and small chances will rest on them.
learn.note.groups = The groups differ by more than chance (analysis of variance, {1}): the law of the group you fill from says more than that of all.
learn.note.rates = The logged rates are taken as exact: noise in them is not in the errors of the volumes, and makes their intervals too narrow.
learn.change = From {1}: {2} readings of a change from {3} to {4} as the sensor shows them.
learn.level = {1} +- {2}
learn.not_told = {1}: not told, {2} (the fit has {3} L).
learn.together = reservoir and filter together: {1}.
learn.scatter = The readings scatter about the fit by {1}.
learn.scatter.expected = The readings scatter about the fit by {1}, where the scenario's noise and rounding make {2}.
learn.method = Least squares by Levenberg and Marquardt; the second number of each law is the standard error.
none.few_tests = too few tests that differ
none.groups = there are not two groups to compare
none.stirred_sum = no two stirred volumes that cannot be told apart
none.idle = no idle rate was logged

stop = {1}.
guide.title = {1}: guide to changing the fuel
guide.about = Guide to changing the fuel. Made on {1} with blendrisk {2}. Accepted risk of a miss: {3}.
guide.steps.title = What to do
guide.amounts.title = Other amounts, and how far the plan may be off
guide.risk.title = How the risk grows with the old fuel left
guide.line.title = How the new fuel comes through the line
guide.assumed.title = What was assumed
guide.cautions.title = Cautions
guide.again.title = To make this page again
guide.again.what = The exact scenario and command
guide.at_least = at least {1}
guide.at_most = at most {1}
guide.warning.little = Do not switch the engine's calibration before the last step: too little ethanol under it can ruin the engine.
guide.warning.much = Do not switch the engine's calibration before the last step: too much ethanol under it can ruin the engine.
guide.down.exactly = Run the tank down to <strong class="amount">{1}</strong> as the gauge shows it, neither more nor less.
guide.down.between = Run the tank down to <strong class="amount">{1}</strong> as the gauge shows it: {2} to {3} will do.
guide.down.up_to = Run the tank down to <strong class="amount">{1}</strong> as the gauge shows it: up to {3} will do.
guide.dry.unknown = How low the pump still draws fuel is not told: the plan gives no pickup floor.
guide.dry.below = Below {1} it runs dry too often.
guide.dry.less = With less it runs dry too often.
guide.fill.amount = Put in <strong class="amount">{1}</strong> by the dispenser's display.
guide.fill.least = No less than {1} does.
guide.fill.range = {1} does, neither less nor more.
guide.fill.clicks = If the nozzle clicks off before, that is as much as goes in.
guide.fill.up = Fill up <strong>until the nozzle clicks off</strong>, and no further.
guide.fill.chance = The chance of landing outside the limits is then {1}.
guide.wait.no_line = Wait until the new fuel has pushed the old out of the line. How long that takes is not part of this guide, since the plan does not say what the line holds: measure the fuel at the engine.
guide.wait.nothing = There is nothing to wait for: the fuel in the line is within the limit already.
guide.wait.no_reading = Run the engine gently, still on the old calibration. The sensor is not good enough to wait for a reading of it.
guide.wait.more = Run the engine gently, still on the old calibration, until the content sensor shows <strong class="amount">{1} or more</strong> and stays there over several looks.
guide.wait.less = Run the engine gently, still on the old calibration, until the content sensor shows <strong class="amount">{1} or less</strong> and stays there over several looks.
guide.wait.exact = <strong>This takes the sensor as exact: add what yours may be off by.</strong>
guide.shows.share = {1} of 100 changes
guide.shows.nearly_all = more than 99
guide.shows = It shows that in {1}.
guide.shows.time = It shows that in {1}, in those after about {2}, mostly between {3} and {4}.
guide.without_sensor = Without a sensor:
guide.not_shown = Where it does not show:
guide.burn.none = no waiting is enough, since {1}.
guide.burn = until {1} have been burned.
guide.burn.time = until {1} have been burned, about {2} as planned.
guide.switch = Only then switch the calibration.
guide.switch.against = If a sensor still shows {1}, do not switch: measure the fuel.
guide.switch.same = The same where it never gets to the reading above.
guide.no_plan = <strong>Do not switch under this plan.</strong>
guide.no_plan.chance = The chance of landing outside the limits is {1}, more than the accepted risk.
guide.no_plan.dry = The tank runs dry before the fill with a chance of {1}, more than the dry risk.
guide.no_plan.waiting = The fill as planned lands within the limits, but no reading of the sensor and no waiting makes sure of the fuel at the injectors. Have the fuel tested at the engine, or know the line and the sensor better and make another guide.
guide.no_way = Nothing that was tried does in its place: no other reading to fill up from, no other amount, no second fill, no test of the pump. It takes another fuel, or other limits.
guide.no_way.tested = Nothing that was tried does in its place: no other reading to fill up from, no other amount, no second fill. It takes another fuel, or other limits.
guide.instead = What does in its place; make a guide of it first:
guide.way.window.exactly = Start from {1} indicated, neither more nor less, and fill until the nozzle clicks off.
guide.way.window.between = Start from {1} indicated or less, but not less than {2}, and fill until the nozzle clicks off.
guide.way.window.up_to = Start from {1} indicated or less, and fill until the nozzle clicks off.
guide.way.amount = From {1} indicated put in {2} instead.
guide.way.nothing = From {1} indicated put in nothing.
guide.way.nothing.or = From {1} indicated put in nothing, or {2}.
guide.way.test.more = Have the pump tested first: from {1} indicated a content of {2} or more does, filling until the nozzle clicks off.
guide.way.test.less = Have the pump tested first: from {1} indicated a content of {2} or less does, filling until the nozzle clicks off.
guide.way.table = Have the pump tested first: the table below tells what does from which reading.
guide.from.none = Filling until the nozzle clicks off lands within the accepted risk from no reading.
guide.from.window = Filling until the nozzle clicks off lands within the accepted risk from {2} to {1} indicated.
guide.from.up_to = Filling until the nozzle clicks off lands within the accepted risk up to {1} indicated.
guide.from.range = {1} to {2} indicated
guide.from.less = {1} indicated or less
guide.from.but_dry = Filling until the nozzle clicks off lands within the accepted risk from {1}, but no reading keeps the tank from running dry too often.
guide.from.only = Filling until the nozzle clicks off lands within the accepted risk only from {1}, and below {2} the tank runs dry too often.
guide.amount.dry = From {1} indicated the tank runs dry too often, whatever the amount.
guide.amount.none = From {1} indicated no amount does.
guide.amount.none.more = From {1} indicated no amount does unless the pump tests at {2} or more.
guide.amount.none.less = From {1} indicated no amount does unless the pump tests at {2} or less.
guide.amount.nothing = From {1} indicated nothing needs to be put in
guide.amount.nothing.largest = From {1} indicated nothing needs to be put in; {2} does
guide.amount.takes = From {1} indicated it takes at least {2}
guide.amount.takes.largest = From {1} indicated it takes {2}
guide.amount.again = {1}; larger amounts do again from {2} on, those between do not.
guide.margin.more = {2}, {1} more than plain arithmetic says, for what is not known exactly
guide.margin.less = {2}, {1} less than plain arithmetic says
guide.margin.none = {2}, just what plain arithmetic says
guide.margin.least.more = {2}, the least {1} more than plain arithmetic says, for what is not known exactly
guide.margin.least.less = {2}, the least {1} less than plain arithmetic says
guide.margin.least.none = {2}, the least just what plain arithmetic says
guide.table.caption = At least, in {1}
guide.table.caption.largest = At least, or least to largest, in {1}
guide.table.shows = gauge shows
guide.table.marked = {1}*
guide.table.read = If the gauge shows what stands at the left and the pump tested at what stands above, the dispenser has to show at least so many {1}.
guide.table.two = Where there are two numbers, no more than the second: a limit binds there, too.
guide.table.again = *: larger amounts meet the risk again, with others between that do not; the range with the least fuel is told.
guide.table.none = &ldquo;none&rdquo;: no amount brings the chance of a miss within the accepted risk.
guide.tester.both = A tester's own error is not in these amounts: put in what both ends of what it may mean allow.
guide.tester.lower = A tester's own error is not in these amounts: use the lower end of what it may mean.
guide.tester.upper = A tester's own error is not in these amounts: use the upper end of what it may mean.
guide.waiting_above = The waiting above is for the plan above; after another amount, ask for it again.
guide.risk = Filling as planned from {1} indicated, the chance of landing outside the limits ({2}) is <strong class="amount">{3}</strong>; the accepted risk is {4}.
guide.risk.landed = The tank lands at about {1}, in 95 of 100 cases between {2} and {3}.
guide.risk.caption = Chance of a miss against what the gauge shows before the fill.
guide.line = After the fill the engine still burns what the line holds. The injectors get fuel within the limit after about {1} burned, in 95 of 100 cases between {2} and {3}.
guide.line.hardly_any = After the fill the engine still burns what the line holds. The injectors get fuel within the limit in hardly any case.
guide.line.caption = Content at the injectors against what was burned since the fill.
guide.assumed.what = what
guide.assumed.as = taken as
guide.assumed.word = on the word of
guide.assumed.default = default
guide.assumed.option = given on the command line
)words";

using Table = std::unordered_map<std::string_view, std::string_view>;

const Table& table() {
  static const Table table = [] {
    Table all;
    std::string_view rest = k_words;
    while (!rest.empty()) {
      const std::string_view line = rest.substr(0, rest.find('\n'));
      rest.remove_prefix(std::min(line.size() + 1, rest.size()));
      const std::size_t at = line.find(" = ");
      if (at != std::string_view::npos) all.emplace(line.substr(0, at), line.substr(at + 3));
    }
    return all;
  }();
  return table;
}

}  // namespace

std::string_view words(std::string_view id) {
  const auto found = table().find(id);
  assert(found != table().end());
  return found == table().end() ? id : found->second;
}

bool has_words(std::string_view id) {
  return table().contains(id);
}

std::vector<std::string_view> all_ids() {
  std::vector<std::string_view> ids;
  for (const auto& [id, text] : table()) ids.push_back(id);
  return ids;
}

std::string filled(std::string_view words, const std::vector<std::string>& values) {
  std::string text;
  for (std::size_t at = 0; at < words.size(); ++at) {
    const bool place = words[at] == '{' && at + 2 < words.size() && words[at + 2] == '}';
    if (!place) {
      text += words[at];
      continue;
    }
    const auto which = static_cast<std::size_t>(words[at + 1] - '1');
    if (which < values.size()) text += values[which];
    at += 2;
  }
  return text;
}

std::vector<std::string> cautions() {
  std::vector<std::string> all;
  for (char number = '1'; has_words(std::string("caution.") + number); ++number) {
    all.emplace_back(words(std::string("caution.") + number));
  }
  return all;
}

std::string label(std::string_view key) {
  const std::string id = "label." + std::string(key);
  if (has_words(id)) return std::string(words(id));
  const std::size_t dot = key.find('.');
  if (dot == std::string_view::npos) return std::string(key);
  if (scenario::is_correlation(key)) return "label.correlation"_w;
  const std::string_view section = key.substr(0, dot);
  const std::string in_fill = "label.fill" + std::string(key.substr(dot));
  if (!has_words(in_fill)) return std::string(key);
  if (section == "fuel" || section == "fill") return std::string(words(in_fill));
  if (!section.starts_with("fill-")) return std::string(key);
  return filled(words("label.fill-n"),
                {std::string(section.substr(5)), std::string(words(in_fill))});
}

}  // namespace blendrisk::answer
