### Sentences about what a bin can take, in English.
###
### Most messages are parts of a sentence and begin with a small letter; the code raises the
### first letter of what it ends with a full stop. The same parts serve pages, letters and
### the API. The tone: plain, friendly, short; says what to do next; blames nobody.

## Putting parts together

full-stop = { $sentence }.
list-next = { $list }, { $next }
# $sound is the first letter of $last as it is spoken, where a language cares.
list-last = { $list } and { $last }
list-or = { $list } or { $last }
list-more = { $list } and { $count } more
list-steps = { $list }; { $next }
# Names that people gave: bins.
quoted = “{ $name }”

## Quantities. $n is written out already.

decimal-mark-metric = { "." }
decimal-mark-us = { "." }
unit-kg = { $n } kg
unit-g = { $n } g
unit-lb = { $n } lb
unit-oz = { $n } oz
unit-ml = { $n } ml
unit-l = { $n } L
unit-fl-oz = { $n } fl oz
unit-cups =
    { $count ->
        [one] { $count } cup
       *[other] { $count } cups
    }
unit-cm = { $n } cm
unit-in = { $n } in
unit-celsius = { $n } °C
unit-fahrenheit = { $n } °F
percent = { $n }%
less-than = less than { $amount }

# An amount with the same in a measure.
portion = { $amount } ({ $measure })

# A site's own container, by the name that it has there; $count full ones, or a part of one.
container = { $count } times the { $name }
    .one = one full { $name }
    .quarter = a quarter of the { $name }
    .half = half of the { $name }
    .three-quarters = three quarters of the { $name }

## Days

weekday-1 = Monday
weekday-2 = Tuesday
weekday-3 = Wednesday
weekday-4 = Thursday
weekday-5 = Friday
weekday-6 = Saturday
weekday-7 = Sunday
month-1 = January
month-2 = February
month-3 = March
month-4 = April
month-5 = May
month-6 = June
month-7 = July
month-8 = August
month-9 = September
month-10 = October
month-11 = November
month-12 = December
date =
    { $units ->
        [us] { $weekday }, { $month } { $day }
       *[metric] { $weekday } { $day } { $month }
    }
date-with-year =
    { $units ->
        [us] { $weekday }, { $month } { $day }, { $year }
       *[metric] { $weekday } { $day } { $month } { $year }
    }
# After a word such as "until".
day-bare =
    { $when ->
        [today] today
        [tomorrow] tomorrow
       *[other] { $date }
    }
# When something happens.
day-on =
    { $when ->
        [today] today
        [tomorrow] tomorrow
       *[other] on { $date }
    }
# A moment after "by" or "until"; a midnight is the end of the day before it.
until = { $date } at { $time }
until-end = the end of { $date }
# The moment that was asked about, where that is today; else it is named as in day-on.
now = now

## Yes

accepted = yes, you can put in all of it { $on } ({ $amount }); bury it and cover it with bedding
accepted-if-all = yes, you can put in all of it { $on } ({ $amount }): { $steps }
accepted-if-part = yes, you can put in { $amount } of it { $on }: { $steps }
# A guess may be a little over what fits.
accepted-if-stop = yes, up to a line: put in { $amount } { $on } and stop there; { $steps }

## No

refused = not { $on }: { $reason }; { $next }
refused-never = no, this bin never takes { $foods }
refused-never-why = no, this bin never takes { $foods } ({ $why })
refused-unexplained = not { $on }: it does not fit; { $next }

# What would fit, and when. $whole is one of the next two.
whole-all = all of it
whole-part = the part that suits the bin ({ $wanted })
next-fits-now-and-later = { $room } would fit { $moment }, and { $whole } { $on }
next-fits-later = { $whole } would fit { $on }
next-most-later = the most that would fit in the coming days is { $most }, { $on }
next-now-and-most-later = { $room } would fit { $moment }, and at most { $most } { $on }
next-fits-now-only = { $room } would fit { $moment }, and more does not fit in the coming days
next-never-soon = as things stand, nothing will fit in the coming days
next-other-scraps = there is room for { $room } of other scraps { $moment }
next-keep = keep it for another day
next-other-bin = { $bin } has room for it now

## Why not: parts that follow "not today:"

# $lies: whether food lies uneaten. $left: whether the rule leaves any room.
rule-eating =
    { $lies ->
        [none] it is more than the worms could keep up with
       *[some]
            { $left ->
                [none] the worms may still have up to { $uneaten } to eat
               *[some] the worms may still have up to { $uneaten } to eat and could not keep up with so much more
            }
    }
rule-ramp =
    { $lies ->
        [none] the bin is only in week { $week } and so far takes { $percent } of its full amount
       *[some] the bin is only in week { $week }, so far takes { $percent } of its full amount and may still have up to { $uneaten } to eat
    }
rule-area = the surface of the bin is enough for { $a_week } of food a week
rule-depth = the food would lie more than { $deep } deep where it is buried
rule-fill = the bin would be more than { $percent } full
rule-too-hot = the bed is too hot for the worms at { $bed } and must first cool to below { $opens_below }
rule-too-cold = the bed is too cold at { $bed } for the worms to eat
rule-signs = somebody saw a sign of too much food { $on } ({ $sign }), so the bin rests until a look into it is clear
rule-handful = somebody saw a sign of too much food { $on } ({ $sign }) and no look into it has been clear since, so it gets a handful at a time
rule-resuming =
    { $lies ->
        [none] the bin is recovering and for now takes { $percent } of its full amount
       *[some] the bin is recovering, for now takes { $percent } of its full amount and may still have up to { $uneaten } to eat
    }
sign-sour_smell = a sour smell
sign-ammonia_smell = a smell of ammonia
sign-old_food = food left after a week
rule-no-worms = the log knows of no living worms in this bin
rule-never-food = this bin never takes { $foods }
rule-sparing-share = at most { $percent } of the food in the bin may be of the sparing kind ({ $foods }), and it has its share already
rule-coffee-share = at most { $percent } of the food in the bin may be coffee and tea ({ $foods }), and it has its share already
rule-guarded = { $clause }, and room is kept for what is promised for { $day }

# A reason standing alone.
reason-leaves = { $clause }; that leaves room for { $room }
reason-leaves-nothing = { $clause }; that leaves no room for more
assumed = { $sentence }; the bed's temperature is assumed, not measured

## What to do for it to go in: parts that follow "yes:" or stand alone

do-leave-out = leave out { $foods }
do-less-of = put in at most { $amount } of { $foods }
# The same with the reason, standing alone.
do-less-of-sparing = put in at most { $amount } of { $foods }: a little of it at a time suits the worms
do-less-of-coffee = put in at most { $amount } of { $foods }: a bin takes only so much coffee and tea
do-stop-at-why = stop at { $portion }: a guess is never exact, and more would be too much
do-cut-small = cut or crush { $foods } into small pieces
do-add-bedding =
    { $sheets ->
        [one] mix in a sheet of torn paper, about { $amount } of dry bedding
       *[other] mix in { $sheets } sheets of torn paper, about { $amount } of dry bedding
    }
do-add-water = wet the bedding with { $water } of water
do-cover = bury it and cover it with bedding
do-measure = if there is a thermometer, measure the bed: the next answer will be surer
# A food or several with the reason why they stay out.
foods-because = { $foods } ({ $why })
why-site-rule = this site keeps it out

## What to do with what does not fit

do-put-in-now = put in at most { $portion } { $moment }; bury it and cover it with bedding
do-put-in-other = put in at most { $portion } of other scraps { $moment }; bury them and cover them with bedding
# $wait: whether it is short enough for a tub.
do-keep-until =
    { $wait ->
        [short] keep the rest in a closed tub or in the freezer until { $day }
       *[long] keep the rest in the freezer until { $day }
    }
do-keep-all-until =
    { $wait ->
        [short] keep it in a closed tub or in the freezer until { $day }
       *[long] keep it in the freezer until { $day }
    }
do-keep = keep the rest in the freezer and ask again in a week
do-keep-all = keep it in the freezer and ask again in a week
do-other-bin = or take it to { $bin }: it has room for { $room }
some-other-bin = another bin of the site
outlet-organics_collection = or put it in the town's collection of kitchen scraps
outlet-garden_heap = or put it on the compost heap in the garden
outlet-drop_off_point = or take it to the drop-off point
# What never goes in: whether it may go there is not ours to say.
outlet-never-organics_collection = ask whether the town's collection takes it
outlet-never-garden_heap = ask whether it may go on the compost heap in the garden
outlet-never-drop_off_point = ask whether the drop-off point takes it
do-cool = give the bin shade, lay damp paper with ice on top and, if it can be moved, bring it into the cool
do-cool-at-once = above { $lethal } worms die: bring the bin into the cool now, and tell the caretaker
do-warm = wrap the bin or bring it to a place that stays free of frost
do-harvest = ask the caretaker whether it is time to harvest castings
do-look = look into the bin and say what is left and how it smells, so that it can be fed again
do-stock = tell the caretaker that this bin seems to have no worms

## It is in already

told-fine = thank you, { $amount } is in the log and the bin can take it; { $steps }
told-over = thank you for telling us, { $amount } is in the log; that is { $over } more than the worms can keep up with, and this helps now: { $steps }
told-unsuitable = thank you for telling us, { $amount } is in the log; some of it does not suit the worms, and this helps now: { $steps }
deed-take-out-foods = with gloves, take out any { $foods } that you still find
deed-take-out-foods-why = with gloves, take out what you still find: { $foods }
deed-take-out-amount = take about { $portion } of it out again
deed-feed-nothing-until = put nothing more in until { $day }
deed-feed-nothing = put nothing more in for now, and look again in a week
deed-cool = spread out what went in, give the bin shade, and lay damp paper with ice on top
deed-say-when-out = say how much came out again, or the bin goes on being reckoned with it
deed-cover = bury what lies open and cover it with bedding
care-hands = wash your hands with soap afterwards
care-health = with asthma, a mould allergy or a weak immune system, let somebody else do this
care-pet-waste = pet waste can carry disease: if you have a question about your health, ask a doctor
told-caretaker = the caretaker gets a note too, so nobody has to sort this out alone

## What the bin can take

room = { $bin } can take { $amount } of ordinary scraps { $on }: { $binds }
room-in-measure = { $bin } can take { $amount } of ordinary scraps ({ $measure }) { $on }: { $binds }
room-none = { $bin } can take nothing { $on }: { $binds }
room-kept = { $sentence }, and { $kept } is kept for what is promised
the-bin = the bin
binds-eating = the worms could not keep up with more
binds-ramp = it is young and gets more from week to week
binds-area = more would be too much for its surface in a week
binds-depth = more would lie too deep where it is buried
binds-fill = it is nearly full
binds-too_hot = the bed is too hot
binds-too_cold = the bed is too cold for the worms to eat
binds-signs = it rests after a sign of too much food
binds-handful = after a sign of too much food it gets a handful at a time
binds-resuming = it is recovering
binds-no_worms = the log knows of no living worms in it
binds-sparing_share = only a small part of its food may be of the sparing kind
binds-coffee_share = only a part of its food may be coffee and tea

## A look into the bin.

checked = thank you, { $state }
checked-found = thank you, about { $found } is there that nobody had logged, and { $state }
checked-rests = the bin now rests because of { $sign } until a later look is clear
checked-rests-still = the bin goes on resting: say both what is left and how it smells, and if little is left and it smells of earth it may be fed again
checked-half = the bin may be fed again, by half for now, until a second look in a few days is clear too
checked-half-still = the bin goes on with half of its full amount until a look in a few days is clear too
checked-open = the bin may be fed in full again
checked-room = the bin can take { $room } { $on }

## Warnings of heat and cold.

warning-deadly_heat = the bed { $surety ->
    [assumed] may well reach
   *[measured] reaches
    } { $bed } { $on }, which kills worms: bring the bin into the cool at once, lay damp paper and ice on top, and put nothing in
warning-too_hot = the bed { $surety ->
    [assumed] may well reach
   *[measured] reaches
    } { $bed } { $on }: put nothing in, shade the bin, and lay damp paper and ice on top
warning-warm = the bed { $surety ->
    [assumed] may well reach
   *[measured] reaches
    } { $bed } { $on }: shade the bin and feed less at a time
warning-cold = the bed { $surety ->
    [assumed] may well fall to
   *[measured] falls to
    } { $bed } { $on }: the worms will eat slowly, so wrap the bin or move it somewhere milder
warning-too_cold = the bed { $surety ->
    [assumed] may well fall to
   *[measured] falls to
    } { $bed } { $on }: the worms will not eat, so put nothing in and bring the bin in or wrap it well
warning-deadly_frost = the bed { $surety ->
    [assumed] may well fall to
   *[measured] falls to
    } { $bed } { $on }, and freezing kills worms: bring the bin in at once
warning-hungry = the worms have had nothing to eat for long and grow thin: bring them a small meal
warning-drying_out = nobody has looked after the bin for weeks and its bed dries out: sprinkle water over it and look what lives
warning-no_worms = hardly a worm is left: look into the bin, and stock it anew if that is so

## What to do about what was seen.

care-stop_feeding = put nothing more in, and with gloves take out food that is still whole
care-dry_bedding = mix in torn dry paper or card and loosen the bed, so that air gets in
care-moisten = sprinkle water over the bedding until a handful feels like a wrung-out sponge
care-drain_liquid = let the liquid out and keep it away from plants that are eaten
care-bury_and_cover = bury the food two fingers deep and cover it with bedding, and freeze scraps before they go in
care-ant_barrier = put a barrier against ants around the outside of the bin, never inside, and no powders or baits where children are
care-worms_want_out = look whether the bed is hot, soaked or sour, and leave a light on above it for the night, since worms flee light
care-rodents_out = close the lid and every hole, wash your hands well, and ask the caretaker to call a licensed pest controller; lay no bait where children are

## What a rota reaches. Empty places come first, then changes, then fairness, then wishes.

rota-empty-none = every place has somebody
rota-empty-least =
    { $count ->
        [one] 1 place stays empty, and no rota leaves fewer
       *[other] { $count } places stay empty, and no rota leaves fewer
    }
rota-empty-maybe =
    { $count ->
        [one] 1 place stays empty, and whether it must could not be proven
       *[other] { $count } places stay empty; that at least { $bound } must is proven
    }
rota-changes-none = nobody’s places change
rota-changes-least =
    { $count ->
        [one] 1 place changes hands or is given up, and no rota changes less
       *[other] places given up and places taken on are { $count } together, and no rota changes less
    }
rota-changes-maybe = places given up and places taken on are { $count } together; that at least { $bound } are needed is proven
rota-fair-exactly = everybody has exactly their fair share
rota-fair-proven = no fairer rota exists that leaves as few places empty and changes as little
rota-fair-within = the distances from the fair shares, taken together as the root of the sum of their squares, are at most { $percent } larger than in the fairest rota that leaves as few places empty and changes as little
rota-fair-unknown = how near this comes to the fairest rota could not be proven
rota-wishes-most = wishes met less wishes crossed make { $count }, and no rota that is as good in all else has more
rota-wishes-maybe = wishes met less wishes crossed make { $count }; that more than { $bound } are impossible is proven

## Why somebody has the turns that they have. Effort is what turns cost.

rota-own =
    { $count ->
        [0] no turn asks for any effort here, and { $fair } would be fair
        [one] 1 turn asks for an effort of { $effort } here, and { $fair } would be fair
       *[other] { $count } turns ask for an effort of { $effort } here, and { $fair } would be fair
    }
rota-own-nothing-fair =
    { $count ->
        [0] no turn asks for any effort here, and after earlier rotas nothing would be fair
        [one] 1 turn asks for an effort of { $effort } here, and after earlier rotas nothing would be fair
       *[other] { $count } turns ask for an effort of { $effort } here, and after earlier rotas nothing would be fair
    }
rota-brought-more = earlier rotas asked for { $count } more than was fair, and that counts here
rota-brought-less = earlier rotas asked for { $count } less than was fair, and that counts here
rota-shut-open =
    { $count ->
        [one] 1 turn is on a day that is closed to change
       *[other] { $count } turns are on days that are closed to change
    }
rota-shut-weekday =
    { $count ->
        [one] 1 turn is on a weekday that does not work
       *[other] { $count } turns are on weekdays that do not work
    }
rota-shut-absence =
    { $count ->
        [one] 1 turn is on a day of an absence
       *[other] { $count } turns are on days of an absence
    }
rota-shut-trained =
    { $count ->
        [one] 1 turn is at a bin that needs training first
       *[other] { $count } turns are at bins that need training first
    }
rota-shut-rest =
    { $count ->
        [one] 1 turn is too near to another one held
       *[other] { $count } turns are too near to others held
    }
rota-shut-most_in_28_days =
    { $count ->
        [one] 1 turn would be one too many within 28 days
       *[other] { $count } turns would be too many within 28 days
    }
rota-shut-not_alone =
    { $count ->
        [one] 1 turn has nobody experienced on it
       *[other] { $count } turns have nobody experienced on them
    }
rota-shut-apart =
    { $count ->
        [one] on 1 turn there is somebody to be kept apart from
       *[other] on { $count } turns there is somebody to be kept apart from
    }
rota-shut-alone =
    { $count ->
        [one] { $part }; without that, 1 more would be within the limits, though others may hold it
       *[other] { $part }; without that, { $count } more would be within the limits, though others may hold them
    }
rota-within-held =
    { $count ->
        [one] 1 turn within the limits is held by others
       *[other] { $count } turns within the limits are held by others
    }
rota-within-free =
    { $count ->
        [one] 1 turn within the limits still has a free place
       *[other] { $count } turns within the limits still have a free place
    }

## Why a place is empty. Each reason counts people.

rota-empty =
    { $count ->
        [one] 1 place of this turn is empty
       *[other] { $count } places of this turn are empty
    }
rota-empty-why = { $part }: { $whys }
rota-why-weekday =
    { $count ->
        [one] 1 cannot on that weekday
       *[other] { $count } cannot on that weekday
    }
rota-why-absence =
    { $count ->
        [one] 1 is away
       *[other] { $count } are away
    }
rota-why-trained =
    { $count ->
        [one] 1 is not trained for the bin
       *[other] { $count } are not trained for the bin
    }
rota-why-rest =
    { $count ->
        [one] 1 has another turn too near
       *[other] { $count } have another turn too near
    }
rota-why-most_in_28_days =
    { $count ->
        [one] 1 would have too many turns within 28 days
       *[other] { $count } would have too many turns within 28 days
    }
rota-why-places =
    { $count ->
        [one] 1 finds no place
       *[other] { $count } find no place
    }
rota-why-not_alone =
    { $count ->
        [one] for 1 somebody experienced is missing
       *[other] for { $count } somebody experienced is missing
    }
rota-why-apart =
    { $count ->
        [one] 1 would meet somebody to be kept apart from
       *[other] { $count } would meet somebody to be kept apart from
    }
rota-why-open =
    { $count ->
        [one] for 1 the day is closed to change
       *[other] for { $count } the day is closed to change
    }
rota-why-closed =
    { $count ->
        [one] for 1 the day is closed to change
       *[other] for { $count } the day is closed to change
    }
rota-why-day =
    { $count ->
        [one] 1 cannot that day
       *[other] { $count } cannot that day
    }
rota-why-training =
    { $count ->
        [one] 1 is not trained for the bin
       *[other] { $count } are not trained for the bin
    }
rota-why-enough =
    { $count ->
        [one] 1 has enough turns around it
       *[other] { $count } have enough turns around it
    }
rota-why-others =
    { $count ->
        [one] for 1 other nothing of their own stands in the way
       *[other] for { $count } others nothing of their own stands in the way
    }
rota-could =
    { $count ->
        [one] 1 could still take it
       *[other] { $count } could still take it
    }

## Two people beside each other.

rota-compare-more = the first has { $effort } more effort than the second
rota-compare-less = the first has { $effort } less effort than the second
rota-compare-same = the first has as much effort as the second
rota-compare-why = { $part }: { $causes }
rota-because-share = { $step } because of their shares
rota-because-balance = { $step } because of earlier rotas
rota-because-fair = { $step } because that is fair
rota-because-rest = { $step } because of limits, wishes and what does not divide evenly
rota-step-more = { $effort } more
rota-step-less = { $effort } less

## Letters. Subjects stand alone: with a capital and without a full stop.

letter-greeting = hello, { $name }
letter-greeting-nameless = hello
letter-invitation-subject = Invitation to the worm bins of { $site }
letter-invitation = you are invited to the shared worm bins of { $site }
letter-invitation-let-in = you were let in at the shared worm bins of { $site }: accept this invitation, and you can take turns there and bring your scraps
letter-reset-subject = A new password for the worm bins
letter-reset = somebody, most likely you, asked for a new password for the worm bins
letter-signin-subject = Signing in to the worm bins
letter-signin = somebody, most likely you, asked to sign in to the worm bins without a password
letter-signin-how = this is for the program that you use for the bins: open the link, press the button there, and copy what it shows into the program
letter-until = it works once, until { $until } ({ $zone })
letter-invitation-unexpected = if you do not want this, the link ends by itself; your name and address stay with whoever looks after the bins of { $site } until you ask them to delete both
letter-shrunk-subject = Less room for what you booked in the bin “{ $bin }”
letter-shrunk = more lies in the bin “{ $bin }” than was known when you booked { $promised } there for { $date }: it can now take { $kept } of that
letter-shrunk-how = bring no more than that, and keep the rest in the freezer or put it with the organic waste
letter-shrunk-to-nothing = more lies in the bin “{ $bin }” than was known when you booked { $promised } there for { $date }: it can now take nothing of that
letter-shrunk-to-nothing-how = bring nothing that day, and keep your scraps in the freezer or put them with the organic waste

## The sheet for whoever stands in for a teacher. Its title, headings and columns stand alone.

sheet-title = Worm bins: { $class }, { $date }
sheet-pupils =
    { $count ->
        [0] No pupils yet
        [one] 1 pupil: { $pupils }
       *[other] { $count } pupils: { $pupils }
    }
sheet-away = Away on this day: { $pupils }
sheet-head-duty = Whose turn it is
sheet-head-bins = What each bin can take
sheet-head-do = What to do
sheet-head-not = What not to do
sheet-head-care = Take care
sheet-head-log = What went in (the teacher enters it later, with the time)
sheet-column-time = Time
sheet-column-bin = Bin
sheet-column-what = What
sheet-column-amount = How much
sheet-duty-hours = { $bin }, from { $opens } to { $closes }
sheet-duty =
    { $count ->
        [0] { $bin }: nobody yet, so ask the class who would like to
       *[other] { $bin }: { $pupils }, with an adult beside them
    }
sheet-bin-empty = no worms live in { $bin } yet, so put nothing in
sheet-bin-later = what { $bin } can take is known on the day itself, so get a new sheet then
sheet-do-amount = give each bin at most what it can take, and keep the rest for another day
sheet-do-small = let the pupils tear or cut the scraps into pieces no larger than a thumb
sheet-do-bury = bury the scraps and cover them with bedding
sheet-do-write = write down below what went in, when, how much and into which bin
sheet-do-honest = if too much or the wrong thing went in, write that down too: nobody is told off
sheet-not-foods = put in none of these: { $foods }
sheet-not-dig = do not turn the bed over, and pour nothing into a bin
sheet-not-baits = lay no baits, powders or sprays against animals: children are near
sheet-care-hands = everybody washes their hands with soap afterwards
sheet-care-gloves = wear gloves, and let nobody with asthma, a mould allergy or a weak immune system near an open bin
sheet-care-hot = never touch a bed that feels hot: close the lid, put nothing in, and say so
sheet-care-ask = when in doubt, put nothing in and ask whoever gave you this sheet, or { $names }; give it back at the end of the day, since it holds the names of pupils
sheet-care-ask-keeper = when in doubt, put nothing in and ask whoever gave you this sheet; give it back at the end of the day, since it holds the names of pupils

## What is printed on paper. $code is in groups of four.

sheet-what = at { $site } we share worm bins, and you can join
sheet-how = type the code { $code } where Wormrota asks how you join, with your name and the number of your flat, if there is one
sheet-then = somebody who looks after the bins then lets you in
slip-what = this slip signs you in at { $site }, once
slip-what-for = this slip signs { $name } in at { $site }, once
slip-how = type the code { $code } where Wormrota asks how you sign in
slip-care = whoever has it can sign in in your place, so show it to nobody
lid-what = this is the bin { $bin } at { $site }
lid-how = to see what it can take today, type the code { $code } where Wormrota asks for the code of a lid
code-until = the code works until { $date }

## Pages behind links of letters. Titles and buttons stand alone.

page-over-title = This link does nothing any more
page-over = it was used, or its time is over, or what it was about is settled
page-over-how = if something is still to be said, ask whoever looks after the bins
page-late-title = The time for this is over
page-late = this link worked until { $until }
page-late-fed = if you know whether the bin was fed, tell { $whom }
page-late-turn = the turn is over, so there is nothing more for you to do
page-whom = whoever looks after the bins
page-link-used =
    { $kind ->
        [reset] a new password was set with this link, which works only once
       *[sign_in] somebody has signed in with this link, which works only once
    }
page-link-expired = the time of this link is over
page-link-revoked = this link was taken back, or something newer took its place: a newer letter, or a new password
page-trouble-title = That did not work
page-trouble = something is in the way right now, so nothing was changed; open the link again in a few minutes
page-often-title = Please wait a little
page-often =
    { $minutes ->
        [one] that was asked too often from here or for this address; come back in a minute
       *[other] that was asked too often from here or for this address; come back in { $minutes } minutes
    }
page-stop-title = Do you want fewer letters?
page-stop =
    { $group ->
        [reminders] the button below ends letters that remind you of your turns
        [questions] the button below ends letters that ask whether a bin was fed
        [changes] the button below ends letters about changes to your turns: nobody tells you then that you were given one
        [calls] the button below ends letters that ask you to take a turn of somebody who is away
        [keeping] the button below ends letters about what needs looking after at the bins: heat, pests, newcomers; see that somebody else gets them
       *[digest] the button below ends letters that sum up the week
    }
page-stop-others = all other letters go on
page-stop-button = Yes, end these letters
page-stopped =
    { $group ->
        [reminders] from now on you get no letters that remind you of your turns
        [questions] from now on you are not asked whether a bin was fed
        [changes] from now on you are not told when something changes about your turns
        [calls] from now on you are not asked to take a turn of somebody who is away
        [keeping] from now on you are not told what needs looking after at the bins
       *[digest] from now on you get no letters that sum up the week
    }
page-stopped-how = to get them again, use the button below; after a few weeks this link ends, so ask whoever looks after the bins then
page-stopped-title = These letters have ended
page-stopped-button = Send me these letters again
page-on-again-title = These letters come again
page-on-again =
    { $group ->
        [reminders] from now on you are reminded of your turns again
        [questions] from now on you are asked again whether a bin was fed
        [changes] from now on you are told again what changes about your turns
        [calls] from now on you are asked again to take the turn of somebody who is away
        [keeping] from now on you are told again what needs looking after at the bins
       *[digest] from now on you get the week in a letter again
    }

## A turn is coming. The subject and the title stand alone. $when is today, tomorrow or later.

letter-coming-subject =
    { $when ->
        [today] Today is your turn at the bin “{ $bin }”
        [tomorrow] Tomorrow is your turn at the bin “{ $bin }”
       *[later] Your turn at the bin “{ $bin }” on { $date }
    }
letter-coming =
    { $when ->
        [today] today it is your turn to { $what }
        [tomorrow] tomorrow it is your turn to { $what }
       *[later] on { $date } it is your turn to { $what }
    }
# Follows "it is your turn to".
letter-coming-duty =
    { $duty ->
        [feeding] feed the bin “{ $bin }”
        [watering] water the bin “{ $bin }”
        [looking] look into the bin “{ $bin }”
        [harvest] take castings out of the bin “{ $bin }”
       *[tidying] tidy up around the bin “{ $bin }”
    }
letter-coming-hours = come between { $opens } and { $closes }
letter-coming-any-hour = any time of the day will do
letter-coming-with =
    { $count ->
        [one] { $names } comes too
       *[other] { $names } come too
    }
letter-coming-with-others =
    { $count ->
        [one] somebody else comes too
       *[other] { $count } others come too
    }
letter-coming-with-more =
    { $count ->
        [one] { $names } and somebody else come too
       *[other] { $names } and { $count } others come too
    }
letter-coming-room =
    { $when ->
        [today] today the bin can take up to { $room }, as far as can be told: ask before you put in more
       *[other] the bin will probably be able to take { $room } that day: this is a forecast, so ask again before you put it in
    }
letter-coming-room-shared =
    { $when ->
        [today] today the bin can take up to { $room } in all, as far as can be told, and { $people }: { $yours }
       *[other] the bin will probably be able to take { $room } in all that day, and { $people }: { $yours }; this is a forecast, so ask again before you put it in
    }
letter-coming-people =
    { $count ->
        [2] two of you come
        [3] three of you come
       *[other] { $count } of you come
    }
letter-coming-part =
    { $booked ->
        [0] your part is { $part }
       *[other] your part of what nobody has booked is { $part }
    }
letter-coming-room-booked =
    { $when ->
        [today] the others have booked all that the bin can take today: bring no scraps, and give them a hand
       *[other] the others have booked all that the bin can take that day: bring no scraps, and give them a hand
    }
letter-coming-booked = the room for { $booked } that you booked is kept for you: bring no more than that
letter-coming-no-room =
    { $when ->
        [today] the bin cannot take anything today: keep your scraps in the freezer, and just see that all is covered and the lid is shut
       *[other] as things stand the bin cannot take anything that day: keep your scraps in the freezer, and just see that all is covered and the lid is shut
    }
letter-coming-no-worms = no worms are known to live in the bin yet, so put nothing in and ask first
letter-coming-bedding = for that much, { $bedding }
letter-coming-shut = { $site } is shut then, and this visit takes place all the same
letter-coming-way-in = how to get in, ask { $whom } beforehand
letter-coming-by-plan = by the plan for the closed days, { $what }
letter-coming-never = leave out meat, fish, dairy, oil, and whatever is salty, spicy or cooked with fat
letter-coming-never-here = here the bin gets none of these either: { $foods }
letter-coming-how =
    { $duty ->
        [feeding] bury the food, cover it with bedding, shut the lid, and log what went in
        [watering] feel the bedding: it should be as damp as a wrung-out sponge; if it is drier, sprinkle a little water on it and stop before it drips
        [looking] lift the lid, look under the bedding, smell, and log what you found
        [harvest] take only dark crumbs in which no food is left, put the worms back, and keep liquid from the bin off all plants that people eat
       *[tidying] sweep up, see that all lids are shut, refill the dry paper, and leave no food lying about
    }
letter-coming-hands =
    { $duty ->
        [tidying] wash your hands with soap afterwards
       *[other] wear gloves, and wash your hands with soap afterwards
    }
letter-coming-hot = if the bed feels hot, do not reach into it: put nothing in, shut the lid and say so
letter-coming-give-back = if you cannot come, give your place back by the end of { $date }, so that somebody else can take it
letter-coming-ask = if you have a question, ask { $whom }
letter-coming-too-late = if something comes up, tell { $whom } right away: it is too late to give the place back, but until the turn is over you can say that you cannot come, and somebody else is looked for
letter-coming-rules = where your house or school has rules of its own, they come first

## Whether a bin was fed. Subjects, titles, buttons, links and labels stand alone.

letter-fed-subject = Was the bin “{ $bin }” fed { $on }?
letter-fed =
    { $whose ->
        [class] { $on } it was your class's turn at the bin “{ $bin }”, and nobody has written down yet whether it was fed
       *[own] { $on } it was your turn at the bin “{ $bin }”, and nobody has written down yet whether it was fed
    }
letter-fed-again =
    { $whose ->
        [class] we still do not know whether the bin “{ $bin }” was fed { $on }, when it was your class's turn
       *[own] we still do not know whether the bin “{ $bin }” was fed { $on }, when it was your turn
    }
letter-fed-why = please choose one of these, so that whoever comes next knows how much the worms still have to eat
letter-fed-yes =
    { $whose ->
        [class] Yes, we fed it
       *[own] Yes, I fed it
    }
letter-fed-no = No, it was not fed
letter-fed-other = Somebody else fed it
letter-fed-fine = a no is fine too: nobody is told off, and whoever looks after the bins will take a look
letter-fed-links = each of them opens a page that asks once more, and they work until { $date }
letter-missed-subject = The bin “{ $bin }” was not fed { $on }
letter-missed-unknown-subject = No word whether the bin “{ $bin }” was fed { $on }
letter-missed =
    { $whose ->
        [class] { $on } it was a class's turn at the bin “{ $bin }”, and we hear that it was not fed
       *[own] somebody had a turn at the bin “{ $bin }” { $on }, and we hear that it was not fed
    }
letter-missed-unknown =
    { $whose ->
        [class] { $on } it was a class's turn at the bin “{ $bin }”; nothing was written down, and nobody has answered our question
       *[own] somebody had a turn at the bin “{ $bin }” { $on }; nothing was written down, and nobody has answered our questions
    }
letter-missed-says-no = { $name } says that it was not fed
letter-missed-silent = { $name } has not answered
letter-missed-gone = somebody who has left
letter-missed-looked = somebody looked into the bin on { $date }
letter-missed-unlooked = nobody has looked into the bin since
letter-missed-hungry = by our reckoning the worms have nothing left to eat; the bin can take up to { $room }
letter-missed-can-wait = by our reckoning there is no hurry: the worms can wait for the next turn, and the bin can take up to { $room }
letter-missed-full = by our reckoning the bin should get nothing right now
letter-missed-do = What helps now
letter-missed-do-ask = ask whoever had the turn: perhaps they did feed and forgot to say so
letter-missed-do-feed = if it was not fed, feed the bin today, with { $room } at most, or ask somebody to
letter-missed-do-plan = if nobody has the next turn yet, look for somebody
letter-missed-do-leave = put nothing in for now
letter-missed-do-write = when food goes in, write down how much
letter-missed-do-care = wear gloves, wash your hands with soap afterwards, and leave a bed alone that feels hot
page-fed-title = Yes, the bin was fed
page-fed = please say about how much went into the bin “{ $bin }” { $on }
page-fed-how = a rough guess is fine, of everything that went in on this turn
page-fed-amount = How much went in
page-fed-portion = About { $amount }
page-fed-unknown = I do not know
page-fed-usual = I do not know: write down { $amount }, as usual
page-fed-button = Write it down
page-fed-by-other-title = Somebody else fed the bin
page-fed-by-other = if you know about how much went into the bin “{ $bin }” { $on }, please say so
page-fed-by-other-button = Somebody else fed it
page-not-fed-title = No, the bin was not fed
page-not-fed = you are about to say that nobody fed the bin “{ $bin }” { $on }
page-not-fed-how = nobody is told off; whoever looks after the bins hears of it and sees to the worms
page-not-fed-button = No, it was not fed
page-answered-title = Thank you for your answer
page-fed-done = this is what you told us about the bin “{ $bin }” { $on }; we will not ask again
page-fed-done-how = if the amount is wrong, ask whoever looks after the bins to correct it
page-fed-by-other-done = you told us that somebody else fed the bin “{ $bin }” { $on }; we will not ask again
page-fed-by-other-done-how = if you find out how much it was, tell whoever looks after the bins
page-not-fed-done = you told us that the bin “{ $bin }” was not fed { $on }; whoever looks after the bins hears of it
page-not-fed-done-how = if that was a mistake, tell whoever looks after the bins
page-fed-known-title = There is nothing left to answer
page-fed-known-amount = { $amount } in the bin “{ $bin }” { $on } has been written down meanwhile
page-fed-known = somebody has answered meanwhile: the bin “{ $bin }” was fed { $on }
page-fed-known-how = if you put in something besides, tell whoever looks after the bins

## Letters about what changed about one's turns. Subjects, headings and titles stand alone.

letter-turn-day = { $date }
letter-turn-hours = { $date } from { $opens } to { $closes }
letter-turn =
    { $duty ->
        [feeding] to feed the bin { $bin }
        [watering] to water the bin { $bin }
        [looking] to look into the bin { $bin }
        [harvest] to take castings out of the bin { $bin }
       *[tidying] to tidy up around the bin { $bin }
    } on { $when }
letter-turn-title =
    { $duty ->
        [feeding] Feed the bin { $bin }
        [watering] Water the bin { $bin }
        [looking] Look into the bin { $bin }
        [harvest] Take castings out of the bin { $bin }
       *[tidying] Tidy up around the bin { $bin }
    }
letter-turn-point =
    { $when }: { $duty ->
        [feeding] feed the bin { $bin }
        [watering] water the bin { $bin }
        [looking] look into the bin { $bin }
        [harvest] take castings out of the bin { $bin }
       *[tidying] tidy up around the bin { $bin }
    }
letter-turn-point-with = { $point }, with { $names }
letter-turn-with = on the same turn: { $names }
letter-ask-names = { $names }
letter-ask-keepers = whoever looks after the bins
letter-turn-back = if you cannot come, give your place back by { $date } so that somebody else can take it, or ask { $whom } for help
letter-turn-back-late = if you cannot come, tell { $whom } as soon as you can: it is too late to give your place back, but until the turn is over you can say that you cannot come, and somebody else is looked for
letter-turns-back =
    { $days ->
        [0] if you cannot come on one of these days, give that place back before the day is over
        [one] if you cannot come on one of these days, give that place back by the day before
       *[other] if you cannot come on one of these days, give that place back at least { $days } days before
    } so that somebody else can take it, or ask { $whom } for help
letter-turn-by = { $name } made this change
letter-turn-given-by = { $name } gave you this turn
letter-turn-ask = if something about it is wrong, ask { $whom }
letter-turn-given-subject = A turn for you on { $date }
letter-turn-given = you now have a turn { $turn }
letter-turn-given-instead = somebody who was to come cannot, so you come instead
letter-turn-again-subject = Your turn on { $date } is yours again
letter-turn-again = you are back, so the turn { $turn } is yours again
letter-turn-gone-subject = You need not come on { $date }
letter-turn-gone = the turn { $turn } is not yours any more, so you need not come
letter-turn-off-subject = No turn on { $date }
letter-turn-off = your turn { $turn } does not take place, so you need not come
letter-turn-off-shut = { $site } is shut on that day, so your turn { $turn } does not take place and you need not come
letter-turn-off-kept = your place stays yours: if the turn takes place after all, you get another letter
letter-turn-on-subject = Your turn on { $date } takes place after all
letter-turn-on = your turn { $turn } takes place after all, and you still have your place
letter-turn-hours-subject = Other hours for your turn on { $date }
letter-turn-hours-now = your turn has other hours: please come { $turn }
letter-turn-hours-any = any time of that day is fine
letter-turn-hours-before = until now it was from { $opens } to { $closes }
letter-turn-room-subject = Book room again for your turn on { $date }
letter-turn-room-only = your turn { $turn } was called off for a while, and takes place after all
letter-turn-room = the room for { $amount } that you had booked for it was given back
letter-turn-room-again = please book again before you bring scraps
letter-turn-room-keep = please do not bring those scraps on that day
letter-turns-subject = Changes to your turns at { $site }
letter-turns = something has changed about your turns at { $site }
letter-turns-visit = { $point }, although { $site } is shut then
letter-turns-files =
    { $count ->
        [one] a file with this letter tells your calendar about one of these turns: open it if your calendar does not take it by itself
       *[other] { $count } files with this letter tell your calendar about these turns: open each if your calendar does not take them by itself
    }
letter-turns-again = Yours again, since you are back
letter-turns-given = Yours now
letter-turns-on = Take place after all
letter-turns-hours = Have other hours now
letter-turns-gone = Not yours any more
letter-turns-off = Do not take place
letter-turns-room = Take place after a pause
letter-turns-off-kept = your places on turns that do not take place stay yours: if one takes place after all, you get another letter
letter-turns-rooms =
    { $count ->
        [one] the room that you had booked for one of these turns was given back
       *[other] the room that you had booked for { $count } of these turns was given back
    }: please bring scraps only where you have booked again
letter-rota-subject = Your turns at { $site }
letter-rota =
    the rota of { $site } from { $first } to { $last } is up, and you have { $count ->
        [one] one turn
       *[other] { $count } turns
    } in it
letter-rota-without-you = the rota of { $site } from { $first } to { $last } is up, and you have no turn in it
letter-rota-changed = the rota of { $site } from { $first } to { $last } was changed, and some of your turns with it
letter-rota-rest = all your other turns stay as they are
letter-rota-trade = if you would like to trade a turn with a neighbour, agree on it with them and ask { $whom } to change it

## Letters to whoever looks after the bins. Subjects and headings stand alone.

letter-what-to-do = What to do
letter-as-deputy = you get this as the deputy at { $site }, since nobody else has seen to it so far
letter-newcomer-subject = Somebody waits to be let in at { $site }
letter-newcomer = { $who } asked on { $date } to join the worm bins of { $site }, and waits to be let in
letter-newcomer-flat = { $who } from flat { $flat } asked on { $date } to join the worm bins of { $site }, and waits to be let in
letter-newcomer-how = if you know that { $who } belongs here, let them in: open the list of newcomers in the program that you use for the bins, and confirm them there
letter-newcomer-refuse = if you do not know them, ask at the door first, or refuse them in the same list: then nothing of what they typed is kept
letter-let-in-subject = You are in: the worm bins of { $site }
letter-let-in = you were let in at { $site }, and can now take turns at its worm bins and bring your scraps
letter-let-in-account = sign in as you always do, and you find it in your list of sites
letter-let-in-first = before you bring anything, ask what the bin can take that day: too much at once harms the worms
letter-let-in-ask = if you have a question, ask { $names }
letter-bounced-subject = Letters to somebody at { $site } come back
letter-bounced = letters to { $who } come back: their address is refused
letter-bounced-ask = ask { $who } at the door, or by phone, whether their address is still right
letter-bounced-correct = if it is another one, put it into the list of members: an invitation then goes there
letter-bounced-again = if it is right after all, choose in the list of members to try letters again
letter-bounced-meanwhile = until then they get no letters, so tell them yourself when something changes about their turns
letter-trouble-subject =
    { $trouble ->
        [over_limit] Too much food in the bin “{ $bin }”
        [never_food] Something in the bin “{ $bin }” that does not belong there
        [too_hot] Too hot for the worms in the bin “{ $bin }”
        [bin_rests] The bin “{ $bin }” has to rest
        [trouble_seen] Trouble was seen in the bin “{ $bin }”
        [too_cold] Too cold for the worms in the bin “{ $bin }”
        [hungry] Hungry worms in the bin “{ $bin }”
        [drying_out] The bin “{ $bin }” is drying out
        [too_wet] The bin “{ $bin }” is too wet
       *[no_worms] Hardly a worm left in the bin “{ $bin }”
    }
letter-trouble =
    { $trouble ->
        [over_limit] on { $date } more went into the bin “{ $bin }” than its worms can eat in time
        [never_food] on { $date } something went into the bin “{ $bin }” that never goes in
        [too_hot] { $when ->
            [soon] the bin “{ $bin }” will get too hot for its worms { $on }
           *[now] the bin “{ $bin }” is too hot for its worms
        }
        [bin_rests] the bin “{ $bin }” has had to rest since { $date }: it shows that it got too much food
        [trouble_seen] on { $date } somebody looked into the bin “{ $bin }” and saw something that you should know
        [too_cold] { $when ->
            [soon] the bin “{ $bin }” will get too cold for its worms { $on }
           *[now] the bin “{ $bin }” is too cold for its worms
        }
        [hungry] nothing has gone into the bin “{ $bin }” since { $date }, and its worms grow thin
        [drying_out] the bed of the bin “{ $bin }” began to dry about { $date }, and nobody has watered it since
        [too_wet] the bed of the bin “{ $bin }” is soaked: that was last seen on { $date }
       *[no_worms] by our reckoning hardly a worm is left in the bin “{ $bin }”
    }
letter-trouble-site = this is about the worm bins of { $site }
letter-trouble-measured =
    { $when ->
        [soon] by what was measured lately its bed will have about { $bed } then
       *[now] by what was measured lately its bed has about { $bed }
    }
letter-trouble-assumed =
    { $when ->
        [soon] nobody has measured its bed lately: by the usual weather of the month it may have { $bed } then, so measure it first
       *[now] nobody has measured its bed lately: by the usual weather of the month it may have { $bed }, so measure it first
    }
letter-troubles-subject = Several troubles in the bin “{ $bin }”
letter-troubles = several things are wrong with the bin “{ $bin }” at once; the gravest comes first
letter-trouble-heading =
    { $trouble ->
        [over_limit] Too much food
        [never_food] Something that does not belong there
        [too_hot] Too hot for the worms
        [bin_rests] It has to rest
        [trouble_seen] What somebody saw
        [too_cold] Too cold for the worms
        [hungry] Hungry worms
        [drying_out] It is drying out
        [too_wet] It is too wet
       *[no_worms] Hardly a worm left
    }
letter-trouble-sign = what was noticed: { $sign }
letter-seen-flies = fruit flies
letter-seen-ants = ants
letter-seen-mites = many mites
letter-seen-climbing = worms that climb the walls and want out
letter-seen-liquid = liquid that stands at the bottom
letter-seen-rodents = rats or mice, or their traces
letter-step-deadly = above { $lethal } worms die: if the bed is that hot, bring the bin into the cool now, before anything else
letter-step-hot = do not reach into a bed that feels hot before it has cooled
letter-step-nothing-in = put nothing in, and tell those whose turns come next
letter-step-shade = move the bin out of the sun, or shade it, and let air in
letter-step-ice = lay damp paper and ice on top of the bedding
letter-step-measure = measure the bed again the next day, and enter what you read
letter-step-bring-in = bring the bin in, or wrap it well
letter-step-look-again = look in again in three days, and enter what you see
letter-step-take-out = with gloves, take out what does not belong there, and put it with the waste
letter-step-remind = tell everybody once more what goes in and what does not, without naming anybody
letter-step-look-clear = look in again in a few days and enter what you see: after one clear look the bin takes half, after a second one all
letter-step-handful = put in no more than { $room } at a time, and with gloves take out food that is still whole
letter-step-small-meal = bring a small meal: the bin can take { $room } now
letter-step-turns = see that the coming turns have somebody
letter-step-look-write = look what lives in it, and enter what you see
letter-step-dry-food = leave out melon, tomatoes and other watery scraps for a week
letter-step-find-worms = lift the bedding in several places, and look for worms
letter-step-restock = if you find hardly any, put nothing in, ask for new worms, and stock the bin anew
letter-step-rodents = close the lid and every hole, and call a licensed pest controller; lay no bait where children are
letter-trouble-ask = if you cannot see to it yourself, ask { $names }
letter-trouble-tick =
    { $count ->
        [one] when it is done, tick the notice off, so that the others know
       *[other] when it is done, tick the notices off, so that the others know
    }
letter-care-gloves = wear gloves
letter-care-rules = where the house, the school or the town has rules about this, they come first
letter-week-subject = Your worm bins, week of { $date }
letter-week = this is what to know about your worm bins in the week from { $date }
letter-week-site = { $site }
letter-week-quiet =
    { $count ->
        [0] no bin is stocked yet, and nothing waits for you
        [one] the bin is well and nothing waits for you; last week { $week } went in, and { $year } since the beginning of the year
       *[other] all { $count } bins are well and nothing waits for you; last week { $week } went in, and { $year } since the beginning of the year
    }
letter-week-empty =
    { $count ->
        [one] { $date }, “{ $bin }”: 1 place is still empty
       *[other] { $date }, “{ $bin }”: { $count } places are still empty
    }
letter-week-empty-more =
    { $count ->
        [one] 1 more turn has empty places
       *[other] { $count } more turns have empty places
    }
letter-week-missed = { $date }, “{ $bin }”: nobody wrote down a feeding
letter-week-missed-more =
    { $count ->
        [one] 1 more turn without a feeding
       *[other] { $count } more turns without a feeding
    }
letter-week-bin =
    “{ $bin }”: { $how ->
        [full] well, and has had enough for now
        [too_hot] too hot, or soon will be, so put nothing in
        [bin_rests] has to rest, so look into it
        [too_cold] too cold, or soon will be, so put nothing in
        [hungry] hungry, so bring it up to { $room }
        [hungry_booked] hungry, and others have booked what it can take, so see that they come
        [drying_out] drying out, so sprinkle water over it
        [too_wet] too wet, so mix in dry bedding
        [no_worms] has hardly a worm left, so look into it
       *[fine] well, and can take { $room } now
    }
letter-week-newcomers =
    { $count ->
        [one] 1 newcomer waits to be let in
       *[other] { $count } newcomers wait to be let in
    }
letter-week-come-back =
    { $count ->
        [one] letters to 1 member come back, so ask for the right address
       *[other] letters to { $count } members come back, so ask for their right addresses
    }
letter-week-failed =
    { $count ->
        [one] 1 letter could not be sent last week
       *[other] { $count } letters could not be sent last week
    }
# What nobody has ticked off.
letter-week-notice =
    { $date }, “{ $bin }”: { $trouble ->
        [over_limit] too much food went in
        [never_food] something went in that never does
        [too_hot] it was too hot
        [bin_rests] it had to rest
        [trouble_seen] somebody saw pests, liquid or worms that want out
        [too_cold] it was too cold
        [hungry] it was hungry
        [drying_out] it was drying out
        [too_wet] it was too wet
       *[no_worms] hardly a worm was left
    }; when that is seen to, tick it off
letter-week-notices-more =
    { $count ->
        [one] 1 more notice is not ticked off
       *[other] { $count } more notices are not ticked off
    }
letter-week-fed = last week { $week } of scraps went in, and { $year } since the beginning of the year

## Links to pages, and pages on which a password is typed. Labels, titles and buttons stand alone.

letter-invitation-link = Accept the invitation
letter-reset-link = Choose a new password
letter-reset-unexpected = if you did not ask for this, do nothing: your password stays as it is
letter-signin-link = Sign in
letter-signin-unexpected = if you did not ask for this, do nothing: nobody is signed in without that button
letter-signin-password = If you would rather have a password
letter-link-secret = whoever has the link can use it, so keep it to yourself
letter-for-programs = the program that you use for the bins, if you use one, can do the same with this request
letter-fewer = Fewer letters of this kind
page-password = Password
page-password-again = The same password once more
page-password-differs = the two passwords were not the same; type both again
page-password-length = a password has { $least } to { $most } characters; four words that have nothing to do with each other are good
page-password-guessable = that password is among the first that others would try; take another one
page-invitation-title = The worm bins of { $site }
page-invitation = hello, { $name }: you are invited to the shared worm bins of { $site }
page-invitation-account = there is an account with your address { $email } already; you go on signing in with it
page-invitation-password = choose a password: you will sign in with it and with your address { $email }
page-invitation-no-password = or leave both fields empty: then you sign in with a link from a letter each time
page-invitation-button = Yes, I want to join
page-invitation-there = you belong to the worm bins of { $site } already, so there is nothing to do
page-invitation-expired = the invitation to the worm bins of { $site } has run out
page-invitation-taken-back = the invitation to the worm bins of { $site } was taken back, or a newer letter took its place
page-invitation-ask = if you want to join, ask { $whom } for a new invitation
page-joined = welcome: you belong to the worm bins of { $site } now
page-joined-account = sign in with your address { $email }, as you always do
page-joined-password = sign in with your address { $email } and the password that you chose
page-joined-links = whenever you want to sign in, ask for a link to your address { $email }
page-joined-letters = before each of your turns you get a letter that says what to do; below it stands how to get fewer
page-joined-ask = if you have a question, ask { $names }
page-joined-hands = wear gloves at the bins, or wash your hands afterwards
page-reset-title = A new password
page-reset = choose a new password for { $email }
page-reset-button = Set this password
page-reset-done = from now on you sign in with { $email } and your new password
page-reset-ended = everybody who was signed in with the old one has to sign in again
page-ask-reset-link = Ask for a new password
page-ask-signin-link = Ask for a link that signs in
page-ask-reset = type the address to which your letters go: a link is sent there with which you choose a new password
page-ask-signin = type the address to which your letters go: a link is sent there that signs in the program that you use for the bins
page-ask-address = Your e-mail address
page-ask-no-address = what was typed is no e-mail address; please type it again
page-ask-button = Send me the link
page-asked = if there is an account with this address, a letter is on its way to it; its link works for { $minutes } minutes
page-asked-nothing = if nothing comes, look among unwanted mail, try another address of yours, or ask whoever looks after the bins
page-signin-title = Signing in
page-signin = this is for the program that you use for the bins: the button signs in as { $email }, and shows what such a program asks for
page-signin-no-program = if you use no program, you need not sign in: the links in your letters work without it
page-signin-button = Sign in
page-signin-done = you are signed in as { $email }; copy into your program what it asks for
page-signin-once = both tokens are shown this once, so copy them before you leave the page
page-signin-access = access token, which works until { $until }
page-signin-refresh = refresh token, which gets the next two tokens, once, until { $until }
page-signin-astray = whoever has them can act as you, so give them to nobody; if they went astray, a new password ends them

## Calendars that people subscribe to. Titles stand alone.

calendar-own-name = My turns, { $site }
calendar-bin-name = { $bin }, { $site }
calendar-class = a class does this
calendar-off = this does not take place
calendar-hands = wear gloves, or wash your hands afterwards
calendar-cannot-come = if you cannot come, give your place back as early as you can

## Plans for closed days. $meal, $dry and $water have their unit.

closure-last =
    { $known ->
        [turn] at the last turn before, { $on }, put in at most { $meal }, even if there is more to put in
        [now] put in at most { $meal } now, even if there is more to put in
       *[none] shortly before the first day, put in at most { $meal }, even if there is more to put in
    }
closure-last-no-food =
    { $known ->
        [turn] at the last turn before, { $on }, put in no food: what lies there is enough
        [now] put in no food now: what lies there is enough
       *[none] shortly before the first day, put in no more food: what lies there is enough
    }
closure-bedding = mix in { $dry } of dry bedding then
closure-water = water the bed then in several goes, at most { $water } in all, and stop as soon as a handful feels like a wrung-out sponge
closure-done = somebody has looked after the bin, so nothing more is to be done there now
closure-nobody-needed = nobody needs to come while the site is shut
closure-visits =
    { $count ->
        [one] somebody needs to come once while the site is shut
       *[other] somebody needs to come { $count } times while the site is shut
    }
closure-visits-agreed =
    { $count ->
        [one] one visit is agreed on, and no other is needed
       *[other] { $count } visits are agreed on, and no others are needed
    }
closure-visits-more =
    { $count ->
        [one] the visits that are agreed on are not enough: somebody needs to come once more
       *[other] the visits that are agreed on are not enough: somebody needs to come { $count } times more
    }
closure-visits-dry = the bed is too dry already: the sooner somebody waters it, the more worms live
closure-visits-until = who agreed to come helps the bin until it moves
closure-visit-free = agreed { $on }, and nobody has it yet: { $what }
closure-visit-held =
    { $count ->
        [one] agreed { $on }, and { $names } comes: { $what }
       *[other] agreed { $on }, and { $names } come: { $what }
    }
closure-visit-somebody = agreed { $on }, and somebody comes: { $what }
closure-visit-on = { $on }: { $what }
closure-visit-between = between { $earliest } and { $latest }, best { $on }: { $what }
closure-visit-feed =
    { $bedding ->
        [some] put in at most { $meal }, mix in { $dry } of dry bedding, and water in several goes, at most { $water } in all
       *[none] put in at most { $meal }, and water in several goes, at most { $water } in all
    }
closure-visit-no-food =
    { $bedding ->
        [some] put in no food, mix in { $dry } of dry bedding, and water in several goes, at most { $water } in all
       *[none] put in no food, and water in several goes, at most { $water } in all
    }
closure-visit-dry = { $what }, and water before anything else, because the bed is too dry by then
closure-plan-anew = after each visit say what went in and look at the plan again, because the days may move
closure-alone-fine = if nobody comes, the worms get through it
closure-alone-fewer = if nobody comes, too few worms are left from { $date } on, and about { $of_hundred } of 100 at the end
closure-alone-lost = if nobody comes, the bin is lost { $on }
closure-after =
    { $known ->
        [turn] at the first turn after, { $on }, look in first, then put in at most { $meal }
       *[none] when somebody comes for the first time after, look in first, then put in at most { $meal }
    }
closure-after-no-food =
    { $known ->
        [turn] at the first turn after, { $on }, look in and put in no food yet
       *[none] when somebody comes for the first time after, look in and put in no food yet
    }
closure-after-ramp =
    { $weeks ->
        [one] give less than usual for a week then
       *[other] give less than usual for { $weeks } weeks then, and a little more each week
    }
closure-move-heat = the bed gets so hot that the worms die, from { $date } on, and no visit helps against that: let the bin move to a host
closure-move-frost = the bed freezes, from { $date } on, and no visit helps against that: let the bin move to a host
closure-move-dry = the bed dries out, because nobody can come often enough: let the bin move to a host
closure-move-hunger = too many worms starve, from { $date } on, because nobody can feed them in time: let the bin move to a host
closure-host-find = find somebody with room for the bin who looks after it until it is back
closure-host-place = choose a place out of the sun that stays mild, neither hot nor near freezing
closure-host-feed-little = put no food in during the week before the move
closure-host-drain = let the liquid out before you carry the bin
closure-host-carry = carry it level, with two people and the trays strapped, and never leave it in a car in the sun
closure-host-light = leave a light on above it for the first nights, so that the worms stay in
closure-host-show = show the host how to ask before feeding, how damp the bed should be, and whom to ask
closure-host-look = look at it together after two days
closure-host-return = agree on a day for the way back, before the first turn
closure-heating =
    { $heating ->
        [on] this is reckoned for a building that is heated while it is shut
       *[off] this is reckoned for a building that is not heated while it is shut; if yours is, ask for the plan with heating
    }
closure-care-hands = wear gloves at a bin, and wash your hands with soap afterwards
closure-care-liquid = never pour what drains out of a bin on plants that somebody eats
closure-care-hot = if a bed feels hot, put nothing in and say so at once
closure-care-rules = the rules of the building come first: nobody comes in on closed days without leave
closure-no-worms = no worms live in this bin, so there is nothing to do
closure-no-plan = nothing can be planned for this bin now

## Letters about closed days.

letter-closure-subject = { $site } is shut from { $first }: what the bins need
letter-closure = { $site } is shut from { $first } to { $last }, which is { $count } days; this is what the bins need
letter-closure-bin = Bin { $bin }
letter-closure-free =
    { $count ->
        [one] nobody has the visit on { $first } yet: ask somebody to take it, or give it to somebody who agrees
       *[other] nobody has { $count } of the visits yet, the first on { $first }: ask people to take them, or give them to people who agree
    }
letter-closure-held = every visit has somebody, so nobody needs to be found
letter-closure-agree-more = more visits are needed than are agreed on: accept the plan again, and people can take the others like any turn
letter-closure-agree = the visits are not agreed on yet: accept the plan, and people can take them like any turn
letter-closure-open-subject = { $site } is open again: begin gently with the bins
letter-closure-open = { $site } is open again, and the worms need a gentle start
letter-closure-open-look = look into each bin before anything goes in, and say what you see
letter-closure-open-water = if a bed is dry, water it in several goes over the day, and stop when a handful feels like a wrung-out sponge
letter-closure-open-feed = ask what each bin can take now, put in no more than that, and nothing at all where food still lies
letter-closure-open-slowly = after a long time alone give little in the first week, and a little more in each one after

## Cover: who comes in the stead of who cannot. $day is a date, perhaps with hours.

cover-day = { $date }
cover-day-hours = { $date }, between { $from } and { $to }
cover-need-unknown = whether the bin “{ $bin }” needs this turn cannot be told now: it can be four weeks before, once worms live in it
cover-needed =
    { $reason ->
        [starving] the bin “{ $bin }” needs this turn: without it hunger takes too many of the worms, so somebody must come by { $until }
       *[drying] the bin “{ $bin }” needs this turn: its bed begins to dry before anybody else is sure to come, so somebody must come by { $until }
    }
cover-needed-dry = the bin “{ $bin }” needs somebody: its bed is dry already, so somebody should come as soon as possible
cover-helpful =
    { $reason ->
        [hungry] the bin “{ $bin }” can do without this turn, but some of its worms would go hungry
        [dry_bed] the bin “{ $bin }” can do without this turn, but its bed is drier than it should be
        [rests] the bin “{ $bin }” can do without this turn, but it rests until somebody looks into it
        [castings_wait] the bin “{ $bin }” can do without this turn; the castings stay in for longer
        [around_the_bin] the bin “{ $bin }” can do without this turn; it stays untidy around it
       *[others_come] others come to this turn of the bin “{ $bin }”, and would be glad of a hand
    }
cover-not-needed =
    { $reason ->
        [takes_nothing] the bin “{ $bin }” takes no food on that day, so the place can stay empty
        [no_worms] hardly a worm lives in the bin “{ $bin }”, so the place can stay empty
        [others_come] enough others come to this turn of the bin “{ $bin }”, so the place can stay empty
       *[can_wait] the bin “{ $bin }” stays well without one more, so the place can stay empty
    }
cover-alone =
    { $state ->
        [well] on { $date } the worms are still well
        [hungry] on { $date } the worms go hungry; { $left }
        [drying] on { $date } the bed is too dry; { $left }
       *[both] on { $date } the bed is too dry and the worms go hungry; { $left }
    }
cover-worms-left =
    { $percent ->
        [100] hardly a worm is lost by then
        [one] 1 worm of 100 is left
       *[other] { $percent } worms of 100 are left
    }
letter-call-subject = Can you come on { $date }?
letter-call =
    { $duty ->
        [feeding] whoever was to feed the bin “{ $bin }” on { $day } cannot come: please say whether you can
        [watering] whoever was to water the bin “{ $bin }” on { $day } cannot come: please say whether you can
        [looking] whoever was to look into the bin “{ $bin }” on { $day } cannot come: please say whether you can
        [harvest] whoever was to take castings out of the bin “{ $bin }” on { $day } cannot come: please say whether you can
       *[tidying] whoever was to tidy up around the bin “{ $bin }” on { $day } cannot come: please say whether you can
    }
# The same where nobody ever held the place.
letter-call-free =
    { $duty ->
        [feeding] nobody feeds the bin “{ $bin }” on { $day } so far: please say whether you can
        [watering] nobody waters the bin “{ $bin }” on { $day } so far: please say whether you can
        [looking] nobody looks into the bin “{ $bin }” on { $day } so far: please say whether you can
        [harvest] nobody takes castings out of the bin “{ $bin }” on { $day } so far: please say whether you can
       *[tidying] nobody tidies up around the bin “{ $bin }” on { $day } so far: please say whether you can
    }
letter-call-counts =
    { $effort ->
        [one] it counts as one turn of yours in the next rota
       *[other] it counts as { $effort } turns of yours in the next rota
    }
letter-cover-bring =
    { $duty ->
        [feeding] bring kitchen scraps, cut small, as far as the bin can take them, and cover them with bedding; if the bed is drier than a wrung-out sponge, sprinkle water on it first; if it feels hot, put nothing in and say so
        [watering] bring water, and pour only a little at a time: the bed is to be as damp as a wrung-out sponge
        [looking] look under the lid and below the bedding, and say what you see; if the bed feels hot, put nothing in and say so
        [harvest] bring a bucket for the castings; liquid from the bin does not belong on anything that is eaten
       *[tidying] sweep up around the bin and see that the lid is closed
    }
letter-cover-care = wear gloves, and wash your hands afterwards
letter-call-by = please answer by { $until }; a later yes counts too while nobody else has said it
letter-call-yes = Yes, I will come
letter-call-no = No, I cannot
letter-call-others =
    { $count ->
        [0] a no is fine, nobody asks why, and you are not asked again for this turn
        [one] somebody else was asked too, and the first yes has the place; a no is fine, nobody asks why, and you are not asked again for this turn
       *[other] others were asked too, and the first yes has the place; a no is fine, nobody asks why, and you are not asked again for this turn
    }
letter-cover-found-subject = Somebody comes instead of you on { $date }
letter-cover-found = { $name } comes to the bin “{ $bin }” on { $day } instead of you
letter-cover-found-nameless = somebody of the house comes to the bin “{ $bin }” on { $day } instead of you
letter-cover-found-how = there is nothing more for you to do
letter-cover-lost-subject = Nobody comes instead of you on { $date } so far
letter-cover-lost = { $name } cannot come to the bin “{ $bin }” on { $day } after all
letter-cover-lost-nameless = whoever was to come to the bin “{ $bin }” on { $day } instead of you cannot after all
letter-cover-lost-open = somebody else is looked for, and whoever looks after the bins hears of it if nobody is found
letter-cover-lost-empty = the bin can do without
letter-cover-lost-nobody = nobody else was found so far, and whoever looks after the bins knows
letter-cover-taken-subject = Thank you: { $date } is yours
letter-cover-taken = thank you for coming to the bin “{ $bin }” on { $day } instead of somebody who cannot
letter-cover-taken-free = thank you for coming to the bin “{ $bin }” on { $day }, to which nobody came so far
letter-cover-taken-back = if something comes up, give the place back by { $until }, so that there is time to ask others
letter-cover-taken-back-label = I cannot come after all
letter-cover-taken-settled = if something comes up, say that you cannot come, which you can until the turn is over, and tell whoever looks after the bins at once: little time is left to look for somebody else
letter-cover-closed-subject = You need not come on { $date }
letter-cover-closed = you need not answer any more about the bin “{ $bin }” on { $day }: somebody comes
letter-cover-closed-empty = you need not answer any more about the bin “{ $bin }” on { $day }: the bin can do without
letter-cover-closed-thanks = thank you all the same
letter-uncovered-subject = Nobody comes on { $date } so far
letter-uncovered-welcome-subject = A hand is welcome on { $date }
letter-uncovered-welcome = one place of the turn at the bin “{ $bin }” on { $day } is still free
letter-uncovered = nobody has said yes so far to the turn at the bin “{ $bin }” on { $day }
letter-uncovered-back = whoever had said yes to the turn at the bin “{ $bin }” on { $day } gave it back, and nobody else comes so far
letter-uncovered-unasked = nobody comes so far to the turn at the bin “{ $bin }” on { $day }, and there was nobody to be asked by letter
letter-uncovered-must =
    { $reason ->
        [starving] somebody must feed it by { $until } at the latest, or hunger takes too many of the worms
       *[drying] somebody must have looked after it by { $until } at the latest, or its bed begins to dry
    }
letter-uncovered-dry = its bed is dry already: somebody should come as soon as possible, and need not wait for that day
letter-uncovered-can-wait =
    { $reason ->
        [hungry] the bin can do without, but some of its worms would go hungry
        [dry_bed] the bin can do without, but its bed is drier than it should be
        [rests] the bin can do without, but it rests until somebody looks into it
        [castings_wait] the bin can do without; the castings stay in for longer
        [around_the_bin] the bin can do without; it stays untidy around it
        [others_come] others come, and would be glad of a hand
        [unknown] whether the bin needs somebody cannot be told
       *[can_wait] the bin stays well without, so nothing is lost if nobody comes
    }
letter-uncovered-shut = { $site } is shut then: this is a visit that was agreed on
letter-uncovered-days-subject = Nobody comes to { $count } turns at the bin “{ $bin }” so far
letter-uncovered-days = nobody comes so far to { $count } turns at the bin “{ $bin }”
letter-uncovered-days-unasked = nobody comes so far to { $count } turns at the bin “{ $bin }”, and there was nobody to be asked by letter
letter-uncovered-day = { $day }
letter-uncovered-day-shut = { $day }: a visit, since the site is shut then
letter-uncovered-enough = if somebody comes on { $date }, the bin can do without the others
letter-uncovered-alone = If nobody comes from now on
letter-uncovered-until = If nobody comes until { $date }, when somebody is sure to
letter-uncovered-next =
    { $count ->
        [one] come yourself, give the place to somebody, or ask somebody in person
       *[other] come yourself, give a place to somebody, or ask somebody in person
    }
letter-uncovered-still = whoever was asked by letter can still say yes
letter-covered-again-subject = Nobody is missing any more at the bin “{ $bin }”
letter-covered-again = by now somebody comes to the turn at the bin “{ $bin }” on { $day } of which we wrote to you
letter-covered-again-empty = by now nobody needs to come to the turn at the bin “{ $bin }” on { $day } of which we wrote to you
letter-covered-again-days = the turns at the bin “{ $bin }” of which we wrote to you are settled
letter-covered-again-day = { $day }: somebody comes
letter-covered-again-day-empty = { $day }: nobody needs to come
letter-covered-again-done = there is nothing more for you to do about it
letter-turn-freed-subject = The turn on { $date } leaves your calendar
letter-turn-freed = you gave up your turn at the bin “{ $bin }” on { $day }, so you need not come, and it leaves your calendar
letter-turns-freed-subject = Your turns at { $site } leave your calendar
letter-turns-freed = you gave up these turns at { $site }, so you need not come, and they leave your calendar
letter-turn-freed-thanks = thank you for saying so
page-cover-title = The turn on { $date }
page-cover-yes = you say that you come to the bin “{ $bin }” on { $day }, instead of somebody who cannot
page-cover-yes-free = you say that you come to the bin “{ $bin }” on { $day }, to which nobody comes so far
page-cover-yes-button = Yes, I will come
page-cover-yes-done = thank you: the place at the bin “{ $bin }” on { $day } is yours
page-cover-yes-how = a letter with what to do is on its way to you
page-cover-no = you say that you cannot come to the bin “{ $bin }” on { $day }
page-cover-no-button = No, I cannot
page-cover-no-done = that is fine: you are not asked again about the bin “{ $bin }” on { $day }
page-cover-no-how = if you can come after all, follow the link for a yes in the same letter
page-cover-back = you give back the place at the bin “{ $bin }” on { $day }
page-cover-back-button = I cannot come after all
page-cover-back-done = you gave back the place at the bin “{ $bin }” on { $day }
page-cover-back-how = thank you for saying so in time
page-cover-then-covered = somebody else comes
page-cover-then-looked-for = somebody else is looked for
page-cover-then-nobody-left = nobody is left who could be asked by letter, so whoever looks after the bins hears of it
page-cover-then-empty = the bin can do without
page-cover-quicker = somebody else was quicker: they come to the bin “{ $bin }” on { $day }
page-cover-settled = nobody needs to come to the bin “{ $bin }” on { $day } any more
page-cover-over = it is too late for the turn at the bin “{ $bin }” on { $day }
page-cover-there = you come to the bin “{ $bin }” on { $day } already
page-cover-comes = you said yes, and the place at the bin “{ $bin }” on { $day } is yours: use the link in the letter that thanked you to give it back
page-cover-not-yours = the place at the bin “{ $bin }” on { $day } is not yours any more
page-cover-too-late = it is too late to give the place at the bin “{ $bin }” on { $day } back, which you could until { $until }: say that you cannot come instead, and tell { $whom } at once
page-cover-unexpected = if that is not what you expected, ask { $whom }
page-cover-rule =
    { $rule ->
        [weekday] you cannot have the turn at the bin “{ $bin }” on { $day }: the weekday is one that does not work for you
        [absence] you cannot have the turn at the bin “{ $bin }” on { $day }: you are away then
        [trained] you cannot have the turn at the bin “{ $bin }” on { $day }: you are not trained for this bin
        [rest] you cannot have the turn at the bin “{ $bin }” on { $day }: another turn of yours lies too near
        [most_in_28_days] you cannot have the turn at the bin “{ $bin }” on { $day }: you have as many turns around that time as you want at most
        [not_alone] you cannot have the turn at the bin “{ $bin }” on { $day }: nobody experienced comes with you
       *[others] you cannot have the turn at the bin “{ $bin }” on { $day }: a rule of the rota is in the way
    }
page-cannot-come = you say that you cannot come to the bin “{ $bin }” on { $day }; nobody asks why
page-cannot-come-off = the turn at the bin “{ $bin }” on { $day } was called off, so there is nothing more for you to do
page-cannot-come-button = I cannot come
page-cannot-come-done = the place at the bin “{ $bin }” on { $day } is free
page-cannot-come-how = there is nothing more for you to do
page-cover-thanks = thank you all the same
