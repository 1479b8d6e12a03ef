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
letter-invitation-how = to accept, send this request with a password of your choice in the place of the dots (leave that part out if you have an account here already, or want to sign in with links), or give the token in it to the program that you use for the bins
letter-reset-subject = A new password for the worm bins
letter-reset = somebody, most likely you, asked for a new password for the worm bins
letter-reset-how = to set one, send this request with a password of your choice in the place of the dots
letter-signin-subject = Signing in to the worm bins
letter-signin = somebody, most likely you, asked to sign in to the worm bins without a password
letter-signin-how = to sign in, send this request, or give the token in it to the program that you use for the bins
letter-until = it works once, until { $date } at { $time } ({ $zone })
letter-secret = whoever has the token can use it, so keep it to yourself
letter-invitation-unexpected = if you do not want this, the link ends by itself; your name and address stay with whoever looks after the bins of { $site } until you ask them to delete both
letter-shrunk-subject = Less room for what you booked in the bin “{ $bin }”
letter-shrunk = more lies in the bin “{ $bin }” than was known when you booked { $promised } there for { $date }: it can now take { $kept } of that
letter-shrunk-how = bring no more than that, and keep the rest in the freezer or put it with the organic waste
letter-shrunk-to-nothing = more lies in the bin “{ $bin }” than was known when you booked { $promised } there for { $date }: it can now take nothing of that
letter-shrunk-to-nothing-how = bring nothing that day, and keep your scraps in the freezer or put them with the organic waste
letter-unexpected = if you did not expect this letter, do nothing: nothing happens without that request

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
page-trouble-title = That did not work
page-trouble = something is in the way right now, so nothing was changed; open the link again in a few minutes
page-stop-title = Fewer letters
page-stop =
    { $group ->
        [reminders] you will get no more letters that remind you of your turns
        [questions] you will not be asked any more whether a bin was fed
        [changes] you will not be told any more when something changes about your turns
        [calls] you will not be asked any more to take a turn of somebody who is away
        [keeping] you will not be told any more what needs looking after at the bins
       *[digest] you will get no more letters that sum up the week
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
page-stopped-how = to get them again, ask whoever looks after the bins

## Cover: who comes in the stead of who cannot. $day is a date, perhaps with hours.

cover-day = { $date }
cover-day-hours = { $date }, between { $from } and { $to }
cover-need-unknown = whether the bin “{ $bin }” needs this turn cannot be told now: it can be four weeks before, once worms live in it
cover-needed =
    { $reason ->
        [starving] the bin “{ $bin }” needs this turn: without it hunger takes too many of the worms, so somebody must come by { $date } at { $time }
       *[drying] the bin “{ $bin }” needs this turn: its bed begins to dry before anybody else is sure to come, so somebody must come by { $date } at { $time }
    }
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
       *[can_wait] the bin “{ $bin }” can wait until somebody else comes, so the place can stay empty
    }
cover-alone =
    { $state ->
        [well] on { $date } the worms are still well
        [hungry] on { $date } the worms go hungry; { $percent } of 100 are left
        [drying] on { $date } the bed is too dry; { $percent } of 100 worms are left
       *[both] on { $date } the bed is too dry and the worms go hungry; { $percent } of 100 are left
    }
letter-call-subject = Can you come on { $date }?
letter-call =
    { $duty ->
        [feeding] whoever was to feed the bin “{ $bin }” on { $day } cannot come: please say whether you could
        [watering] whoever was to water the bin “{ $bin }” on { $day } cannot come: please say whether you could
        [looking] whoever was to look into the bin “{ $bin }” on { $day } cannot come: please say whether you could
        [harvest] whoever was to take castings out of the bin “{ $bin }” on { $day } cannot come: please say whether you could
       *[tidying] whoever was to tidy up around the bin “{ $bin }” on { $day } cannot come: please say whether you could
    }
letter-call-counts =
    { $effort ->
        [one] it counts as one turn of yours in the next rota
       *[other] it counts as { $effort } turns of yours in the next rota
    }
letter-cover-bring =
    { $duty ->
        [feeding] bring kitchen scraps, cut small, as far as the bin can take them, and cover them with bedding; if the bed feels hot, put nothing in and say so
        [watering] bring water, and pour only a little at a time: the bed is to be as damp as a sponge that was pressed
        [looking] look under the lid and below the bedding, and say what you see; if the bed feels hot, put nothing in and say so
        [harvest] bring a bucket for the castings; liquid from the bin does not belong on anything that is eaten
       *[tidying] sweep up around the bin and see that the lid is closed
    }
letter-cover-care = wear gloves, and wash your hands afterwards
letter-call-by = please answer by { $date } at { $time }; a later yes counts too while nobody else has said it
letter-call-yes = Yes, I will come
letter-call-no = No, I cannot
letter-call-others = others were asked too, and the first yes has the place; a no is fine, nobody asks why, and you are not asked again for this turn
letter-cover-found-subject = Somebody comes in your stead on { $date }
letter-cover-found = { $name } comes to the bin “{ $bin }” on { $day } in your stead
letter-cover-found-nameless = somebody of the house comes to the bin “{ $bin }” on { $day } in your stead
letter-cover-found-how = there is nothing more for you to do
letter-cover-taken-subject = Thank you: { $date } is yours
letter-cover-taken = thank you for coming to the bin “{ $bin }” on { $day } in the stead of somebody who cannot
letter-cover-taken-title = Worm bin “{ $bin }”
letter-cover-taken-back = if something comes up, give the place back by { $date } at { $time }, so that there is time to ask others
letter-cover-taken-back-label = I cannot come after all
letter-cover-taken-settled = if something comes up, tell whoever looks after the bins at once: there is little time to find somebody else
letter-cover-closed-subject = You need not come on { $date }
letter-cover-closed = you need not answer any more about the bin “{ $bin }” on { $day }: somebody comes, or the bin can do without
letter-cover-closed-thanks = thank you for being there to be asked
letter-uncovered-subject = Nobody comes on { $date } so far
letter-uncovered = nobody has said yes so far to the turn of the bin “{ $bin }” on { $day }
letter-uncovered-must =
    { $reason ->
        [starving] somebody must feed it by { $date } at { $time } at the latest, or hunger takes too many of the worms
       *[drying] somebody must have looked after it by { $date } at { $time } at the latest, or its bed begins to dry
    }
letter-uncovered-can-wait = as far as is known the bin can do without it, so nothing is lost if the place stays empty
letter-uncovered-alone = If nobody comes any more
letter-uncovered-next = come yourself, give the place to somebody, or ask somebody in person; whoever was asked by letter can still say yes
page-cover-title = The turn on { $date }
page-cover-yes = you say that you come to the bin “{ $bin }” on { $day }, in the stead of somebody who cannot
page-cover-yes-button = Yes, I will come
page-cover-yes-done = thank you: the place at the bin “{ $bin }” on { $day } is yours
page-cover-yes-how = a letter with what to do is on its way to you
page-cover-no = you say that you cannot come to the bin “{ $bin }” on { $day }
page-cover-no-button = No, I cannot
page-cover-no-done = that is fine: you are not asked again about the bin “{ $bin }” on { $day }
page-cover-no-how = if you can come after all, follow the link for a yes in the same letter
page-cover-back = you give back the place at the bin “{ $bin }” on { $day }; somebody else is asked then
page-cover-back-button = I cannot come after all
page-cover-back-done = the place at the bin “{ $bin }” on { $day } is free again, and somebody else is asked
page-cover-back-how = thank you for saying so in time
page-cover-quicker = somebody else was quicker: they come to the bin “{ $bin }” on { $day }
page-cover-settled = nobody needs to come to the bin “{ $bin }” on { $day } any more
page-cover-over = it is too late for the turn at the bin “{ $bin }” on { $day }
page-cover-there = you come to the bin “{ $bin }” on { $day } already
page-cover-comes = you said yes, and the place at the bin “{ $bin }” on { $day } is yours: use the link in the letter that thanked you to give it back
page-cover-not-yours = the place at the bin “{ $bin }” on { $day } is not yours any more
page-cover-too-late = it is too late to find somebody else for the bin “{ $bin }” on { $day }: tell whoever looks after the bins at once
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
page-cannot-come-button = I cannot come
page-cannot-come-done = the place at the bin “{ $bin }” on { $day } is free, and somebody else is asked if the bin needs it
page-cannot-come-how = there is nothing more for you to do
page-cover-thanks = thank you all the same
