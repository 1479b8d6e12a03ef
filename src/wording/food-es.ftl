### Nombres de alimentos, camas y medidas, y por qué un alimento se queda fuera.

## Alimentos, como van en medio de una frase

# Restos corrientes
food-usual-mix = los restos de cocina de siempre

# Fruta
food-fruit-scraps = restos de fruta
food-apple = manzanas
food-apple-core = corazones de manzana
food-pear = peras
food-banana = plátanos
food-banana-peel = cáscaras de plátano
food-grape = uvas
food-berry = frutos del bosque
food-strawberry = fresas
food-cherry = cerezas
food-peach = duraznos (melocotones)
food-plum = ciruelas
food-fig = higos
food-kiwi-skin = cáscaras de kiwi
food-mango-peel = cáscaras de mango
food-papaya-skin = cáscaras de papaya
food-pineapple-skin = cáscaras de piña
food-melon-rind = cáscaras de melón
food-watermelon-rind = cáscaras de sandía
food-avocado = aguacates
food-avocado-skin = cáscaras de aguacate
food-avocado-stone = huesos de aguacate
food-fruit-stone = huesos de fruta

# Cítricos
food-citrus-peel = cáscaras de cítricos
food-orange = naranjas
food-orange-peel = cáscaras de naranja
food-mandarin-peel = cáscaras de mandarina
food-lemon = limones
food-lime = limas
food-grapefruit = toronjas (pomelos)

# Verduras
food-vegetable-scraps = restos de verdura
food-vegetable-peel = peladuras de verdura
food-carrot = zanahorias
food-parsnip = chirivías
food-turnip = nabos
food-beetroot = remolachas
food-radish = rábanos
food-potato = papas (patatas)
food-potato-peel = peladuras de papa (patata)
food-sweet-potato-peel = peladuras de camote (batata)
food-cucumber = pepinos
food-courgette = calabacines
food-squash = calabazas de invierno
food-pumpkin = calabazas
food-aubergine = berenjenas
food-bell-pepper = pimientos
food-tomato = tomates
food-celery = apio
food-green-bean = judías verdes (ejotes)
food-pea-pod = vainas de guisante (chícharo)
food-asparagus = espárragos
food-mushroom = champiñones
food-cauliflower = coliflor
food-broccoli = brócoli
food-brussels-sprout = coles de Bruselas
food-maize-husk = hojas de mazorca
food-maize-cob = mazorcas sin grano
food-ginger = jengibre

# Hojas
food-lettuce = lechuga
food-salad-leaf = hojas de ensalada sin aliñar
food-spinach = espinacas
food-chard = acelgas
food-kale = col rizada
food-cabbage = repollo
food-carrot-top = hojas de zanahoria
food-beet-leaf = hojas de remolacha
food-herb = hierbas de cocina

# Familia de la cebolla
food-onion = cebollas
food-onion-skin = pieles de cebolla
food-spring-onion = cebolletas
food-shallot = chalotas
food-leek = puerros
food-garlic = ajo

# Café y té
food-coffee-grounds = posos de café
food-coffee-filter = filtros de papel con posos de café
food-tea-leaf = hojas de té
food-tea-bag = bolsitas de té de papel

# Minerales
food-eggshell = cáscaras de huevo

# Pan y cereales
food-bread = pan
food-tortilla = tortillas
food-cracker = galletas de agua
food-breakfast-cereal = cereales de desayuno
food-oatmeal = avena cocida
food-plain-pasta = pasta sola
food-plain-rice = arroz solo
food-flour = harina

# Papel
food-paper-towel = toallas de papel
food-paper-napkin = servilletas de papel
food-glossy-paper = papel satinado o impreso a color
food-till-receipt = recibos de caja

# Comida cocinada
food-cooked-vegetables = verduras cocidas
food-cooked-meal = platos cocinados
food-mashed-potato = puré de papa (patata)
food-soup = sopa
food-sauce = salsa
food-pizza = pizza

# Carne, pescado, huevos
food-meat = carne
food-poultry = carne de ave
food-bone = huesos
food-fish = pescado
food-shellfish = mariscos
food-egg = huevos

# Lácteos
food-milk = leche
food-cheese = queso
food-yoghurt = yogur
food-ice-cream = helado
food-butter = mantequilla

# Aceite y grasa
food-cooking-oil = aceite de cocina
food-fried-food = frituras
food-dressed-salad = ensalada aliñada
food-mayonnaise = mayonesa
food-nut-butter = crema de cacahuate o de frutos secos

# Salado, encurtido, picante
food-salted-snack = botanas saladas
food-crisps = papas fritas de bolsa
food-soy-sauce = salsa de soya
food-pickle = encurtidos
food-olive = aceitunas
food-sauerkraut = chucrut
food-vinegar = vinagre
food-chilli = chiles
food-spicy-food = comida picante

# Dulces y bebidas
food-sweets = golosinas
food-chocolate = chocolate
food-cake = pastel
food-biscuit = galletas dulces
food-jam = mermelada
food-honey = miel
food-soft-drink = refrescos

# Frutos secos
food-nut = frutos secos sin sal
food-nutshell = cáscaras de frutos secos
food-peanut-shell = cáscaras de cacahuate
food-coconut-shell = cáscaras de coco

# Jardín
food-grass-clippings = césped cortado
food-yard-trimmings = recortes de jardín
food-cut-flowers = flores cortadas
food-weeds = malas hierbas
food-twig = ramitas
food-walnut-leaf = hojas de nogal

# Animales
food-manure = estiércol
food-dog-waste = excremento de perro
food-cat-litter = arena de gato

# Lo que no es comida
food-compostable-bag = bolsas de plástico compostable
food-compostable-tableware = vasos y cubiertos compostables
food-plastic = plástico
food-plastic-tea-bag = bolsitas de té de plástico
food-coffee-pod = cápsulas de café
food-fruit-sticker = etiquetas de fruta
food-rubber-band = ligas (gomas elásticas)
food-foil = papel de aluminio
food-chewing-gum = chicle
food-wood-ash = ceniza de leña

## Grupos de alimentos

group-mixed = restos de cocina corrientes
group-fruit = fruta
group-citrus = cítricos
group-vegetable = verduras
group-leaf = hojas y hierbas
group-onion_family = la familia de la cebolla
group-coffee_and_tea = café y té
group-grit = cáscaras de huevo
group-bread_and_grain = pan, pasta y cereales
group-kitchen_paper = papel
group-cooked_food = comida cocinada
group-meat_and_fish = carne, pescado y huevos
group-milk_product = lácteos
group-oil_and_fat = aceite y grasa
group-seasoned = comida salada, encurtida y picante
group-sweet_food = dulces y bebidas azucaradas
group-nuts = frutos secos y sus cáscaras
group-garden = restos de jardín
group-animal_waste = excrementos de animales
group-rubbish = cosas que no son comida

## Clases

class-welcome = bienvenido
class-sparing = con moderación
class-never = nunca

## Por qué un alimento va con moderación o nunca: media frase

why-citrus_acid = los cítricos son demasiado ácidos para las lombrices
why-meat = la carne, el pescado y los huevos se pudren, huelen y atraen ratas y moscas
why-dairy = los lácteos se agrian, huelen y atraen moscas
why-salty = demasiada sal mata a las lombrices
why-pickled = el vinagre y la salmuera acidifican la cama
why-oily = el aceite y la grasa dejan la cama sin aire
why-spicy = las especias picantes sientan mal a las lombrices
why-sweet = el azúcar fermenta y atrae moscas
why-cooked = la comida cocinada suele llevar sal y aceite
why-smell = huele mucho al pudrirse
why-starch = el almidón se apelmaza y se agria
why-pet_waste = los excrementos de mascotas pueden transmitir enfermedades
why-manure = el estiércol fresco calienta la cama y desprende amoníaco
why-garden_trimming = los restos de jardín calientan la cama o tardan meses
why-weed_seeds = una lombricompostera no mata las semillas de malas hierbas
why-nutshell = las cáscaras de frutos secos casi no se descomponen
why-hard = es tan duro que tarda mucho en descomponerse
why-glossy_paper = el recubrimiento y las tintas no deben acabar en el humus
why-soiled_paper = puede llevar grasa o productos de limpieza
why-walnut_leaf = las hojas de nogal pueden hacer daño a las lombrices
why-twig = las ramas tardan mucho en descomponerse
why-compostable_plastic = el plástico compostable necesita mucho más calor del que hay en una lombricompostera
why-not_food = las lombrices no pueden comerlo

## Camas

bedding-shredded-newspaper = papel de periódico en tiras
bedding-corrugated-card = cartón ondulado en trozos
bedding-office-paper = papel de oficina en tiras
bedding-egg-carton = cartones de huevo en trozos
bedding-paper-bag = bolsas de papel marrón en trozos
bedding-coir = fibra de coco
bedding-dry-leaves = hojas secas
bedding-straw = paja cortada
bedding-untreated-sawdust = serrín de madera sin tratar

## Medidas: $count enteras, o una parte

measure-handful =
    { $count ->
        [one] { $count } puñado
       *[other] { $count } puñados
    }
    .quarter = un cuarto de un puñado
    .half = medio puñado
    .three-quarters = tres cuartos de un puñado
measure-cup =
    { $count ->
        [one] { $count } taza
       *[other] { $count } tazas
    }
    .quarter = un cuarto de una taza
    .half = media taza
    .three-quarters = tres cuartos de una taza
measure-litre =
    { $count ->
        [one] { $count } litro
       *[other] { $count } litros
    }
    .quarter = un cuarto de un litro
    .half = medio litro
    .three-quarters = tres cuartos de un litro
measure-caddy-5l =
    { $count ->
        [one] { $count } cubo de 5 litros
       *[other] { $count } cubos de 5 litros
    }
    .quarter = un cuarto de un cubo de 5 litros
    .half = medio cubo de 5 litros
    .three-quarters = tres cuartos de un cubo de 5 litros
measure-caddy-7l =
    { $count ->
        [one] { $count } cubo de 7 litros
       *[other] { $count } cubos de 7 litros
    }
    .quarter = un cuarto de un cubo de 7 litros
    .half = medio cubo de 7 litros
    .three-quarters = tres cuartos de un cubo de 7 litros
measure-bucket-5gal =
    { $count ->
        [one] { $count } balde de 5 galones
       *[other] { $count } baldes de 5 galones
    }
    .quarter = un cuarto de un balde de 5 galones
    .half = medio balde de 5 galones
    .three-quarters = tres cuartos de un balde de 5 galones
