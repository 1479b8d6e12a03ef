### Names of foods, bedding and measures, and why a food stays out.

## Foods, as they stand in the middle of a sentence

# Ordinary scraps
food-usual-mix = the usual kitchen scraps

# Fruit
food-fruit-scraps = fruit scraps
food-apple = apples
food-apple-core = apple cores
food-pear = pears
food-banana = bananas
food-banana-peel = banana peels
food-grape = grapes
food-berry = berries
food-strawberry = strawberries
food-cherry = cherries
food-peach = peaches
food-plum = plums
food-fig = figs
food-kiwi-skin = kiwi skins
food-mango-peel = mango peels
food-papaya-skin = papaya skins
food-pineapple-skin = pineapple skins
food-melon-rind = melon rinds
food-watermelon-rind = watermelon rinds
food-avocado = avocados
food-avocado-skin = avocado skins
food-avocado-stone = avocado stones
food-fruit-stone = fruit stones

# Citrus
food-citrus-peel = citrus peels
food-orange = oranges
food-orange-peel = orange peels
food-mandarin-peel = mandarin peels
food-lemon = lemons
food-lime = limes
food-grapefruit = grapefruits

# Vegetables
food-vegetable-scraps = vegetable scraps
food-vegetable-peel = vegetable peelings
food-carrot = carrots
food-parsnip = parsnips
food-turnip = turnips
food-beetroot = beetroots
food-radish = radishes
food-potato = potatoes
food-potato-peel = potato peelings
food-sweet-potato-peel = sweet potato peelings
food-cucumber = cucumbers
food-courgette = courgettes (zucchini)
food-squash = squashes
food-pumpkin = pumpkins
food-aubergine = aubergines (eggplants)
food-bell-pepper = bell peppers
food-tomato = tomatoes
food-celery = celery
food-green-bean = green beans
food-pea-pod = pea pods
food-asparagus = asparagus
food-mushroom = mushrooms
food-cauliflower = cauliflower
food-broccoli = broccoli
food-brussels-sprout = Brussels sprouts
food-maize-husk = corn husks
food-maize-cob = corn cobs
food-ginger = ginger

# Leaves
food-lettuce = lettuce
food-salad-leaf = undressed salad leaves
food-spinach = spinach
food-chard = chard
food-kale = kale
food-cabbage = cabbage
food-carrot-top = carrot tops
food-beet-leaf = beet leaves
food-herb = herbs

# Onion family
food-onion = onions
food-onion-skin = onion skins
food-spring-onion = spring onions
food-shallot = shallots
food-leek = leeks
food-garlic = garlic

# Coffee and tea
food-coffee-grounds = coffee grounds
food-coffee-filter = paper coffee filters with grounds
food-tea-leaf = tea leaves
food-tea-bag = paper tea bags

# Grit
food-eggshell = eggshells

# Bread and grain
food-bread = bread
food-tortilla = tortillas
food-cracker = plain crackers
food-breakfast-cereal = breakfast cereal
food-oatmeal = oatmeal
food-plain-pasta = plain pasta
food-plain-rice = plain rice
food-flour = flour

# Paper
food-paper-towel = paper towels
food-paper-napkin = paper napkins
food-glossy-paper = glossy or colour-printed paper
food-till-receipt = till receipts

# Cooked food
food-cooked-vegetables = cooked vegetables
food-cooked-meal = cooked meals
food-mashed-potato = mashed potato
food-soup = soup
food-sauce = sauce
food-pizza = pizza

# Meat, fish, eggs
food-meat = meat
food-poultry = poultry
food-bone = bones
food-fish = fish
food-shellfish = shellfish
food-egg = eggs

# Dairy
food-milk = milk
food-cheese = cheese
food-yoghurt = yoghurt
food-ice-cream = ice cream
food-butter = butter

# Oil and fat
food-cooking-oil = cooking oil
food-fried-food = fried food
food-dressed-salad = dressed salad
food-mayonnaise = mayonnaise
food-nut-butter = nut butter

# Salted, pickled, hot
food-salted-snack = salted snacks
food-crisps = potato crisps (chips)
food-soy-sauce = soy sauce
food-pickle = pickles
food-olive = olives
food-sauerkraut = sauerkraut
food-vinegar = vinegar
food-chilli = chillies
food-spicy-food = spicy food

# Sweet food and drink
food-sweets = sweets (candy)
food-chocolate = chocolate
food-cake = cake
food-biscuit = biscuits (cookies)
food-jam = jam
food-honey = honey
food-soft-drink = soft drinks

# Nuts
food-nut = unsalted nuts
food-nutshell = nutshells
food-peanut-shell = peanut shells
food-coconut-shell = coconut shells

# Garden
food-grass-clippings = grass clippings
food-yard-trimmings = yard trimmings
food-cut-flowers = cut flowers
food-weeds = weeds
food-twig = twigs
food-walnut-leaf = walnut leaves

# Animals
food-manure = manure
food-dog-waste = dog waste
food-cat-litter = cat litter

# Not food
food-compostable-bag = compostable plastic bags
food-compostable-tableware = compostable cups and cutlery
food-plastic = plastic
food-plastic-tea-bag = plastic tea bags
food-coffee-pod = coffee pods
food-fruit-sticker = fruit stickers
food-rubber-band = rubber bands
food-foil = foil
food-chewing-gum = chewing gum
food-wood-ash = wood ash

## Groups of foods

group-mixed = ordinary kitchen scraps
group-fruit = fruit
group-citrus = citrus
group-vegetable = vegetables
group-leaf = leaves and herbs
group-onion_family = the onion family
group-coffee_and_tea = coffee and tea
group-grit = eggshells
group-bread_and_grain = bread, pasta and grain
group-kitchen_paper = paper
group-cooked_food = cooked food
group-meat_and_fish = meat, fish and eggs
group-milk_product = dairy
group-oil_and_fat = oil and fat
group-seasoned = salty, pickled and spicy food
group-sweet_food = sweet food and drink
group-nuts = nuts and their shells
group-garden = garden waste
group-animal_waste = animal waste
group-rubbish = things that are not food

## Classes

class-welcome = welcome
class-sparing = sparing
class-never = never

## Why a food is sparing or never: half a sentence

why-citrus_acid = citrus is too sour for the worms
why-meat = meat, fish and eggs rot, smell and draw rats and flies
why-dairy = dairy food turns sour, smells and draws flies
why-salty = too much salt kills the worms
why-pickled = vinegar and brine sour the bed
why-oily = oil and fat keep air from the bed
why-spicy = hot spices are hard on the worms
why-sweet = sugar ferments and draws flies
why-cooked = cooked food usually carries salt and oil
why-smell = it smells strongly as it rots
why-starch = starch packs together and turns sour
why-pet_waste = pet waste can carry disease
why-manure = fresh dung heats the bed and gives off ammonia
why-garden_trimming = garden trimmings heat the bed or lie for months
why-weed_seeds = a worm bin does not kill weed seeds
why-nutshell = nutshells hardly rot
why-hard = it is so hard that it takes very long to rot
why-glossy_paper = the coating and the inks do not belong in the castings
why-soiled_paper = it may carry grease or cleaning agents
why-walnut_leaf = walnut leaves may harm the worms
why-twig = twigs and branches take very long to rot
why-compostable_plastic = compostable plastic needs far more heat than a worm bin has
why-not_food = worms cannot eat it

## Bedding

bedding-shredded-newspaper = shredded newspaper
bedding-corrugated-card = torn corrugated card
bedding-office-paper = shredded office paper
bedding-egg-carton = torn egg cartons
bedding-paper-bag = torn brown paper bags
bedding-coir = coconut coir
bedding-dry-leaves = dry leaves
bedding-straw = cut straw
bedding-untreated-sawdust = untreated sawdust

## Measures: $count full ones, or a part of one

measure-handful =
    { $count ->
        [one] { $count } handful
       *[other] { $count } handfuls
    }
    .quarter = a quarter of a handful
    .half = half a handful
    .three-quarters = three quarters of a handful
measure-cup =
    { $count ->
        [one] { $count } cup
       *[other] { $count } cups
    }
    .quarter = a quarter of a cup
    .half = half a cup
    .three-quarters = three quarters of a cup
measure-litre =
    { $count ->
        [one] { $count } litre
       *[other] { $count } litres
    }
    .quarter = a quarter of a litre
    .half = half a litre
    .three-quarters = three quarters of a litre
measure-caddy-5l =
    { $count ->
        [one] { $count } 5-litre caddy
       *[other] { $count } 5-litre caddies
    }
    .quarter = a quarter of a 5-litre caddy
    .half = half a 5-litre caddy
    .three-quarters = three quarters of a 5-litre caddy
measure-caddy-7l =
    { $count ->
        [one] { $count } 7-litre caddy
       *[other] { $count } 7-litre caddies
    }
    .quarter = a quarter of a 7-litre caddy
    .half = half a 7-litre caddy
    .three-quarters = three quarters of a 7-litre caddy
measure-bucket-5gal =
    { $count ->
        [one] { $count } 5-gallon bucket
       *[other] { $count } 5-gallon buckets
    }
    .quarter = a quarter of a 5-gallon bucket
    .half = half a 5-gallon bucket
    .three-quarters = three quarters of a 5-gallon bucket
