### Frases sobre lo que admite una lombricompostera, en español.
###
### Casi todos los mensajes son partes de una frase y empiezan con minúscula; el programa
### pone la mayúscula y el punto final. Las mismas partes sirven para páginas, correos y API.
### El tono: sencillo, amable, breve; dice qué hacer después; no culpa a nadie.

## Unir las partes

full-stop = { $sentence }.
list-next = { $list }, { $next }
# $sound es el primer sonido de $last: «y» pasa a «e» ante «i».
list-last =
    { $sound ->
        [i] { $list } e { $last }
       *[other] { $list } y { $last }
    }
# «o» pasa a «u» ante «o».
list-or =
    { $sound ->
        [o] { $list } u { $last }
       *[other] { $list } o { $last }
    }
list-more = { $list } y { $count } más
list-steps = { $list }; { $next }
# Nombres que puso la gente: lombricomposteras.
quoted = «{ $name }»

## Cantidades. $n ya viene escrito.

decimal-mark-metric = ,
# Quien lee libras vive donde también el español se escribe con punto decimal.
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
        [one] { $count } taza
       *[other] { $count } tazas
    }
unit-cm = { $n } cm
unit-in = { $n } in
unit-celsius = { $n } °C
unit-fahrenheit = { $n } °F
percent = { $n } %
less-than = menos de { $amount }

# Una cantidad y lo mismo en una medida.
portion = { $amount } ({ $measure })

# Un recipiente propio, con el nombre que tiene allí; $count enteros, o una parte de uno.
container = { $count } veces el recipiente «{ $name }»
    .one = un recipiente «{ $name }» lleno
    .quarter = un cuarto del recipiente «{ $name }»
    .half = la mitad del recipiente «{ $name }»
    .three-quarters = tres cuartos del recipiente «{ $name }»

## Días

weekday-1 = lunes
weekday-2 = martes
weekday-3 = miércoles
weekday-4 = jueves
weekday-5 = viernes
weekday-6 = sábado
weekday-7 = domingo
month-1 = enero
month-2 = febrero
month-3 = marzo
month-4 = abril
month-5 = mayo
month-6 = junio
month-7 = julio
month-8 = agosto
month-9 = septiembre
month-10 = octubre
month-11 = noviembre
month-12 = diciembre
date = { $weekday } { $day } de { $month }
date-with-year = { $weekday } { $day } de { $month } de { $year }
# Tras una palabra como «hasta».
day-bare =
    { $when ->
        [today] hoy
        [tomorrow] mañana
       *[other] el { $date }
    }
# Cuándo ocurre algo.
day-on =
    { $when ->
        [today] hoy
        [tomorrow] mañana
       *[other] el { $date }
    }
# Un momento tras «a más tardar» o «hasta»; una medianoche es el final del día anterior.
until = el { $date } a las { $time }
until-end = el { $date } al final del día
# El momento por el que se preguntó, si es hoy; si no, se nombra como en day-on.
now = ahora

## Sí

accepted = sí, { $on } puedes echarlo todo ({ $amount }); entiérralo y cúbrelo con cama
accepted-if-all = sí, { $on } puedes echarlo todo ({ $amount }): { $steps }
accepted-if-part = sí, { $on } puedes echar { $amount }: { $steps }
# A ojo puede pasar un poco de lo que cabe.
accepted-if-stop = sí, hasta una marca: echa { $on } { $amount } y no pases de ahí; { $steps }

## No

refused = { $on } no: { $reason }; { $next }
refused-never = no, esta lombricompostera nunca admite { $foods }
refused-never-why = no, esta lombricompostera nunca admite { $foods } ({ $why })
refused-unexplained = { $on } no: no cabe; { $next }

# Qué cabría y cuándo. $whole es una de las dos siguientes.
whole-all = todo
whole-part = la parte que sí puede ir ({ $wanted })
next-fits-now-and-later = { $moment } hay sitio para { $room }, y { $on } para { $whole }
next-fits-later = { $on } habrá sitio para { $whole }
next-most-later = lo máximo que cabrá en los próximos días es { $most }, { $on }
next-now-and-most-later = { $moment } hay sitio para { $room }, y { $on } para { $most } como máximo
next-fits-now-only = { $moment } hay sitio para { $room }, y en los próximos días no cabrá más
next-never-soon = tal como está, en los próximos días no cabrá nada
next-other-scraps = { $moment } hay sitio para { $room } de otros restos
next-keep = guárdalo para otro día
next-other-bin = { $bin } tiene sitio para todo ahora

## Por qué no: partes que siguen a «hoy no:»

# $lies: si queda comida sin comer. $left: si la regla deja algo de sitio.
rule-eating =
    { $lies ->
        [none] las lombrices no darían abasto con tanto
       *[some]
            { $left ->
                [none] a las lombrices aún les pueden quedar hasta { $uneaten } por comer
               *[some] a las lombrices aún les pueden quedar hasta { $uneaten } por comer y no darían abasto con tanto más
            }
    }
rule-ramp =
    { $lies ->
        [none] la lombricompostera está apenas en la semana { $week } y por ahora admite el { $percent } de su cantidad completa
       *[some] la lombricompostera está apenas en la semana { $week }, por ahora admite el { $percent } de su cantidad completa y aún le pueden quedar hasta { $uneaten } por comer
    }
rule-area = la superficie de la lombricompostera alcanza para { $a_week } de comida por semana
rule-depth = la comida formaría una capa de más de { $deep } donde se entierra
rule-fill = la lombricompostera se llenaría más del { $percent }
rule-too-hot = la cama está a { $bed }, demasiado caliente para las lombrices, y antes debe bajar de { $opens_below }
rule-too-cold = la cama está a { $bed }, demasiado fría para que las lombrices coman
rule-signs = alguien vio una señal de exceso de comida { $on } ({ $sign }), así que la lombricompostera descansa hasta que una revisión salga bien
rule-handful = alguien vio una señal de exceso de comida { $on } ({ $sign }) y ninguna revisión ha salido bien desde entonces, así que la lombricompostera recibe un puñado cada vez
rule-resuming =
    { $lies ->
        [none] la lombricompostera se está recuperando y por ahora admite el { $percent } de su cantidad completa
       *[some] la lombricompostera se está recuperando, por ahora admite el { $percent } de su cantidad completa y aún le pueden quedar hasta { $uneaten } por comer
    }
sign-sour_smell = un olor agrio
sign-ammonia_smell = olor a amoníaco
sign-old_food = comida sin acabar después de una semana
rule-no-worms = según el registro, aquí no hay lombrices vivas
rule-never-food = esta lombricompostera nunca admite { $foods }
rule-sparing-share = como mucho el { $percent } de la comida puede ser de la que va con moderación ({ $foods }), y ya tiene su parte
rule-coffee-share = como mucho el { $percent } de la comida puede ser café y té ({ $foods }), y ya tiene su parte
rule-guarded = { $clause }, y se guarda sitio para lo prometido para { $day }

# Un motivo por sí solo.
reason-leaves = { $clause }; eso deja sitio para { $room }
reason-leaves-nothing = { $clause }; eso no deja sitio para más
assumed = { $sentence }; la temperatura de la cama se supone, no se ha medido

## Qué hacer para que pueda ir: partes que siguen a «sí:» o van solas

do-leave-out = no eches { $foods }
do-less-of = echa como mucho { $amount } de { $foods }
# Lo mismo con el motivo, por sí solo.
do-less-of-sparing = echa como mucho { $amount } de { $foods }: a las lombrices les sienta bien poco a poco
do-less-of-coffee = echa como mucho { $amount } de { $foods }: el café y el té solo pueden ser una parte
do-stop-at-why = detente al llegar a { $portion }: a ojo nunca es exacto, y más sería demasiado
do-cut-small = corta o tritura los trozos grandes ({ $foods })
do-add-bedding =
    { $sheets ->
        [one] mezcla una hoja de papel en tiras, más o menos { $amount } de cama seca
       *[other] mezcla { $sheets } hojas de papel en tiras, más o menos { $amount } de cama seca
    }
do-add-water = moja la cama con { $water } de agua
do-cover = entiérralo y cúbrelo con cama
do-measure = si hay un termómetro, mide la cama: la próxima respuesta será más segura
# Un alimento o varios con el motivo por el que se quedan fuera.
foods-because = { $foods } ({ $why })
why-site-rule = es norma de este lugar

## Qué hacer con lo que no cabe

do-put-in-now = { $moment } echa como mucho { $portion }; entiérralo y cúbrelo con cama
do-put-in-other = { $moment } echa como mucho { $portion } de otros restos; entiérralos y cúbrelos con cama
# $wait: si la espera es corta, basta un recipiente cerrado.
do-keep-until =
    { $wait ->
        [short] guarda el resto en un recipiente cerrado o en el congelador hasta { $day }
       *[long] guarda el resto en el congelador hasta { $day }
    }
do-keep-all-until =
    { $wait ->
        [short] guárdalo en un recipiente cerrado o en el congelador hasta { $day }
       *[long] guárdalo en el congelador hasta { $day }
    }
do-keep = guarda el resto en el congelador y vuelve a preguntar en una semana
do-keep-all = guárdalo en el congelador y vuelve a preguntar en una semana
do-other-bin = o llévalo a { $bin }: tiene sitio para { $room }
some-other-bin = otra lombricompostera del lugar
outlet-organics_collection = o échalo en la recogida municipal de restos de cocina
outlet-garden_heap = o échalo en el montón de compost del jardín
outlet-drop_off_point = o llévalo al punto de entrega
# Lo que nunca entra: si puede ir allí no nos toca decirlo.
outlet-never-organics_collection = pregunta si lo admite la recogida municipal
outlet-never-garden_heap = pregunta si puede ir al montón de compost del jardín
outlet-never-drop_off_point = pregunta si lo admite el punto de entrega
do-cool = pon la lombricompostera a la sombra, coloca encima papel húmedo con hielo y, si se puede mover, llévala a un lugar fresco
do-cool-at-once = por encima de { $lethal } las lombrices mueren: lleva la lombricompostera a un lugar fresco ahora mismo y avisa a quien la cuida
do-warm = abriga la lombricompostera o llévala a un lugar donde no hiele
do-harvest = pregunta a quien la cuida si ya toca cosechar el humus
do-look = mira dentro de la lombricompostera y di qué queda y cómo huele, para que se pueda alimentar otra vez
do-stock = avisa a quien la cuida de que aquí parece no haber lombrices

## Ya está dentro

told-fine = gracias, queda anotado ({ $amount }) y la lombricompostera puede con ello; { $steps }
told-over = gracias por avisar, queda anotado ({ $amount }); con { $over } de eso las lombrices no dan abasto, y ahora ayuda lo siguiente: { $steps }
told-unsuitable = gracias por avisar, queda anotado ({ $amount }); a las lombrices no les sienta bien una parte, y ahora ayuda lo siguiente: { $steps }
deed-take-out-foods = con guantes, saca los restos de { $foods } que encuentres
deed-take-out-foods-why = con guantes, saca lo que aún encuentres: { $foods }
deed-take-out-amount = saca más o menos { $portion }
deed-feed-nothing-until = no eches nada más hasta { $day }
deed-feed-nothing = no eches nada más por ahora y vuelve a mirar en una semana
deed-cool = extiende lo que se echó, dale sombra y pon papel húmedo con hielo encima
deed-say-when-out = di cuánto se ha sacado, o se seguirá contando con ello
deed-cover = entierra lo que quede a la vista y cúbrelo con cama
care-hands = después lávate las manos con jabón
care-health = si tienes asma, alergia al moho o defensas bajas, deja que lo haga otra persona
care-pet-waste = los excrementos de mascotas pueden transmitir enfermedades: si tienes una duda de salud, consulta a un médico
told-caretaker = también recibe un aviso quien cuida la lombricompostera: nadie tiene que arreglarlo a solas

## Lo que admite la lombricompostera

room = { $bin } admite { $on } { $amount } de restos corrientes: { $binds }
room-in-measure = { $bin } admite { $on } { $amount } de restos corrientes ({ $measure }): { $binds }
room-none = { $bin } no admite nada { $on }: { $binds }
room-kept = { $sentence }, y hay { $kept } de sitio reservado para lo prometido
the-bin = la lombricompostera
binds-eating = las lombrices no darían abasto con más
binds-ramp = es joven y recibe más de semana en semana
binds-area = más sería demasiado para su superficie en una semana
binds-depth = más formaría una capa demasiado gruesa donde se entierra
binds-fill = está casi llena
binds-too_hot = la cama está demasiado caliente
binds-too_cold = la cama está demasiado fría para que las lombrices coman
binds-signs = descansa tras una señal de exceso de comida
binds-handful = tras una señal de exceso de comida recibe un puñado cada vez
binds-resuming = se está recuperando
binds-no_worms = según el registro, aquí no hay lombrices vivas
binds-sparing_share = solo una pequeña parte de su comida puede ser de la que va con moderación
binds-coffee_share = solo una parte de su comida puede ser café y té

## Una mirada dentro de la lombricompostera.

checked = gracias, { $state }
checked-found = gracias, hay unos { $found } que nadie había anotado y { $state }
checked-rests = la lombricompostera descansa ahora por { $sign } hasta que otra revisión salga bien
checked-rests-still = la lombricompostera sigue descansando: di tanto qué queda como cómo huele, y si queda poco y huele a tierra se podrá volver a alimentar
checked-half = se puede volver a alimentar, de momento con la mitad, hasta que una segunda revisión en unos días salga bien también
checked-half-still = sigue con la mitad de su cantidad completa hasta que una revisión en unos días salga bien también
checked-open = se puede volver a alimentar con la cantidad completa
checked-room = la lombricompostera admite { $room } { $on }

## Avisos de calor y de frío.

warning-deadly_heat = la cama { $surety ->
    [assumed] puede llegar a
   *[measured] llega a
    } { $bed } { $on }, y eso mata a las lombrices: lleva la lombricompostera a un lugar fresco enseguida, pon papel húmedo y hielo encima y no eches nada
warning-too_hot = la cama { $surety ->
    [assumed] puede llegar a
   *[measured] llega a
    } { $bed } { $on }: no eches nada, dale sombra y pon papel húmedo y hielo encima
warning-warm = la cama { $surety ->
    [assumed] puede llegar a
   *[measured] llega a
    } { $bed } { $on }: dale sombra y aliméntala con menos cada vez
warning-cold = la cama { $surety ->
    [assumed] puede bajar a
   *[measured] baja a
    } { $bed } { $on }: las lombrices comerán despacio, así que abrígala o llévala a un lugar más templado
warning-too_cold = la cama { $surety ->
    [assumed] puede bajar a
   *[measured] baja a
    } { $bed } { $on }: las lombrices no comerán, así que no eches nada y métela dentro o abrígala bien
warning-deadly_frost = la cama { $surety ->
    [assumed] puede bajar a
   *[measured] baja a
    } { $bed } { $on }, y las heladas matan a las lombrices: métela dentro enseguida
warning-hungry = las lombrices llevan mucho tiempo sin comer y adelgazan: llévales una comida pequeña
warning-drying_out = nadie ha cuidado la lombricompostera en semanas y la cama se seca: rocíala con agua y mira qué vive
warning-no_worms = casi no quedan lombrices: mira dentro y, si es así, puéblala de nuevo

## Qué hacer con lo que se ha visto.

care-stop_feeding = no eches nada más y, con guantes, saca la comida que siga entera
care-dry_bedding = mezcla papel o cartón seco en tiras y afloja la cama para que entre aire
care-moisten = rocía la cama con agua hasta que un puñado parezca una esponja escurrida
care-drain_liquid = deja salir el líquido y no lo uses en plantas que se comen
care-bury_and_cover = entierra la comida dos dedos y cúbrela con cama, y congela los restos antes de echarlos
care-ant_barrier = pon una barrera contra las hormigas por fuera, nunca dentro, y nada de polvos ni cebos donde haya niños
care-worms_want_out = mira si la cama está caliente, empapada o agria, y deja una luz encima por la noche, porque las lombrices huyen de la luz
care-rodents_out = cierra la tapa y cada agujero, lávate bien las manos y pide a quien la cuida que llame a un control de plagas autorizado; nada de cebos donde haya niños

## Lo que logra una lista de turnos. Primero cuentan los puestos vacíos, luego los cambios, la equidad y los deseos.

rota-empty-none = todos los puestos tienen a alguien
rota-empty-least =
    { $count ->
        [one] queda 1 puesto vacío, y ninguna lista de turnos deja menos
       *[other] quedan { $count } puestos vacíos, y ninguna lista de turnos deja menos
    }
rota-empty-maybe =
    { $count ->
        [one] queda 1 puesto vacío, y no se pudo demostrar que sea inevitable
       *[other] quedan { $count } puestos vacíos; está demostrado que al menos { $bound } son inevitables
    }
rota-changes-none = no cambia el puesto de nadie
rota-changes-least =
    { $count ->
        [one] cambia 1 puesto, y ninguna lista de turnos cambia menos
       *[other] los puestos que se dejan y los que se toman suman { $count }, y ninguna lista de turnos cambia menos
    }
rota-changes-maybe = los puestos que se dejan y los que se toman suman { $count }; está demostrado que hacen falta al menos { $bound }
rota-fair-exactly = cada cual tiene exactamente la parte que le toca
rota-fair-proven = no existe una lista de turnos más justa que deje tan pocos puestos vacíos y cambie tan poco
rota-fair-within = las distancias a la parte que toca, tomadas juntas como la raíz de la suma de sus cuadrados, son como mucho un { $percent } mayores que en la lista de turnos más justa que deje tan pocos puestos vacíos y cambie tan poco
rota-fair-unknown = no se pudo demostrar cuánto falta para la lista de turnos más justa
rota-wishes-most = los deseos cumplidos menos los no respetados son { $count }, y ninguna lista de turnos llega a más sin empeorar lo demás
rota-wishes-maybe = los deseos cumplidos menos los no respetados son { $count }; está demostrado que es imposible llegar a más de { $bound }

## Por qué a alguien le tocan sus turnos. El esfuerzo es lo que cuestan los turnos.

rota-own =
    { $count ->
        [0] ningún turno pide aquí esfuerzo, y lo justo sería { $fair }
        [one] 1 turno pide aquí un esfuerzo de { $effort }, y lo justo sería { $fair }
       *[other] { $count } turnos piden aquí un esfuerzo de { $effort }, y lo justo sería { $fair }
    }
rota-own-nothing-fair =
    { $count ->
        [0] ningún turno pide aquí esfuerzo, y tras las listas de turnos anteriores lo justo sería nada
        [one] 1 turno pide aquí un esfuerzo de { $effort }, y tras las listas de turnos anteriores lo justo sería nada
       *[other] { $count } turnos piden aquí un esfuerzo de { $effort }, y tras las listas de turnos anteriores lo justo sería nada
    }
rota-brought-more = las listas de turnos anteriores pidieron { $count } más de lo justo, y eso cuenta aquí
rota-brought-less = las listas de turnos anteriores pidieron { $count } menos de lo justo, y eso cuenta aquí
rota-shut-open =
    { $count ->
        [one] 1 turno cae en un día que ya no se cambia
       *[other] { $count } turnos caen en días que ya no se cambian
    }
rota-shut-weekday =
    { $count ->
        [one] 1 turno cae en un día de la semana en el que no puede
       *[other] { $count } turnos caen en días de la semana en los que no puede
    }
rota-shut-absence =
    { $count ->
        [one] 1 turno cae en una ausencia
       *[other] { $count } turnos caen en una ausencia
    }
rota-shut-trained =
    { $count ->
        [one] 1 turno es en una lombricompostera que antes hay que aprender a llevar
       *[other] { $count } turnos son en lombricomposteras que antes hay que aprender a llevar
    }
rota-shut-rest =
    { $count ->
        [one] 1 turno está demasiado cerca de otro que ya tiene
       *[other] { $count } turnos están demasiado cerca de otros que ya tiene
    }
rota-shut-most_in_28_days =
    { $count ->
        [one] 1 turno pasaría del máximo en 28 días
       *[other] { $count } turnos pasarían del máximo en 28 días
    }
rota-shut-not_alone =
    { $count ->
        [one] en 1 turno no hay nadie con experiencia
       *[other] en { $count } turnos no hay nadie con experiencia
    }
rota-shut-apart =
    { $count ->
        [one] en 1 turno hay alguien con quien no debe coincidir
       *[other] en { $count } turnos hay alguien con quien no debe coincidir
    }
rota-shut-alone =
    { $count ->
        [one] { $part }; sin eso habría 1 más dentro de los límites, aunque puede que lo tengan otras personas
       *[other] { $part }; sin eso habría { $count } más dentro de los límites, aunque puede que los tengan otras personas
    }
rota-within-held =
    { $count ->
        [one] 1 turno dentro de los límites lo tienen otras personas
       *[other] { $count } turnos dentro de los límites los tienen otras personas
    }
rota-within-free =
    { $count ->
        [one] 1 turno dentro de los límites aún tiene un puesto libre
       *[other] { $count } turnos dentro de los límites aún tienen un puesto libre
    }

## Por qué queda vacío un puesto. Cada motivo cuenta personas.

rota-empty =
    { $count ->
        [one] queda 1 puesto vacío en este turno
       *[other] quedan { $count } puestos vacíos en este turno
    }
rota-empty-why = { $part }: { $whys }
rota-why-weekday =
    { $count ->
        [one] 1 no puede ese día de la semana
       *[other] { $count } no pueden ese día de la semana
    }
rota-why-absence =
    { $count ->
        [one] 1 no está
       *[other] { $count } no están
    }
rota-why-trained =
    { $count ->
        [one] 1 no conoce esa lombricompostera
       *[other] { $count } no conocen esa lombricompostera
    }
rota-why-rest =
    { $count ->
        [one] 1 tiene otro turno demasiado cerca
       *[other] { $count } tienen otro turno demasiado cerca
    }
rota-why-most_in_28_days =
    { $count ->
        [one] 1 tendría demasiados turnos en 28 días
       *[other] { $count } tendrían demasiados turnos en 28 días
    }
rota-why-places =
    { $count ->
        [one] 1 no encuentra puesto
       *[other] { $count } no encuentran puesto
    }
rota-why-not_alone =
    { $count ->
        [one] para 1 falta alguien con experiencia
       *[other] para { $count } falta alguien con experiencia
    }
rota-why-apart =
    { $count ->
        [one] 1 coincidiría con quien no debe
       *[other] { $count } coincidirían con quien no deben
    }
rota-why-open =
    { $count ->
        [one] para 1 ese día ya no se cambia
       *[other] para { $count } ese día ya no se cambia
    }
rota-why-closed =
    { $count ->
        [one] para 1 ese día ya no se cambia
       *[other] para { $count } ese día ya no se cambia
    }
rota-why-day =
    { $count ->
        [one] 1 no puede ese día
       *[other] { $count } no pueden ese día
    }
rota-why-training =
    { $count ->
        [one] 1 no conoce esa lombricompostera
       *[other] { $count } no conocen esa lombricompostera
    }
rota-why-enough =
    { $count ->
        [one] 1 tiene bastantes turnos alrededor
       *[other] { $count } tienen bastantes turnos alrededor
    }
rota-why-others =
    { $count ->
        [one] 1 más no tiene ningún impedimento propio
       *[other] { $count } más no tienen ningún impedimento propio
    }
rota-could =
    { $count ->
        [one] 1 aún podría tomarlo
       *[other] { $count } aún podrían tomarlo
    }

## Dos personas, una junto a otra.

rota-compare-more = a la primera persona le toca { $effort } más de esfuerzo que a la segunda
rota-compare-less = a la primera persona le toca { $effort } menos de esfuerzo que a la segunda
rota-compare-same = a la primera persona le toca el mismo esfuerzo que a la segunda
rota-compare-why = { $part }: { $causes }
rota-because-share = { $step } por sus partes
rota-because-balance = { $step } por listas de turnos anteriores
rota-because-fair = { $step } porque es lo justo
rota-because-rest = { $step } por límites, deseos y lo que no se reparte exactamente
rota-step-more = { $effort } más
rota-step-less = { $effort } menos

## Correos. Los asuntos van solos: con mayúscula y sin punto final.

letter-greeting = hola, { $name }
letter-greeting-nameless = hola
letter-invitation-subject = Invitación a las lombricomposteras de { $site }
letter-invitation = te invitan a las lombricomposteras compartidas de { $site }
letter-invitation-let-in = te han dado paso en las lombricomposteras compartidas de { $site }: acepta esta invitación y podrás tomar turnos y llevar tus restos
letter-reset-subject = Una contraseña nueva para las lombricomposteras
letter-reset = alguien, seguramente tú, pidió una contraseña nueva para las lombricomposteras
letter-signin-subject = Entrar en las lombricomposteras
letter-signin = alguien, seguramente tú, pidió entrar en las lombricomposteras sin contraseña
letter-signin-how = es para el programa que usas para las lombricomposteras: abre el enlace, pulsa el botón y copia en el programa lo que muestra
letter-until = sirve una sola vez, hasta { $until } ({ $zone })
letter-invitation-unexpected = si no lo quieres, el enlace caduca solo; tu nombre y tu dirección los guarda quien cuida las lombricomposteras de { $site } hasta que le pidas que los borre
letter-shrunk-subject = Menos sitio para lo que reservaste en la lombricompostera «{ $bin }»
letter-shrunk = en la lombricompostera «{ $bin }» hay más de lo que se sabía cuando reservaste sitio para { $promised } el { $date }: ahora admite { $kept } de eso
letter-shrunk-how = no lleves más que eso, y guarda el resto en el congelador o échalo a los residuos orgánicos
letter-shrunk-to-nothing = en la lombricompostera «{ $bin }» hay más de lo que se sabía cuando reservaste sitio para { $promised } el { $date }: ahora no admite nada de eso
letter-shrunk-to-nothing-how = no lleves nada ese día, y guarda tus restos en el congelador o échalos a los residuos orgánicos

## La hoja para quien sustituye a un docente. El título, los encabezados y las columnas van solos.

sheet-title = Lombricomposteras: { $class }, { $date }
sheet-pupils =
    { $count ->
        [0] Aún no hay alumnos
        [one] 1 alumno: { $pupils }
       *[other] { $count } alumnos: { $pupils }
    }
sheet-away = Ausentes este día: { $pupils }
sheet-head-duty = A quién le toca
sheet-head-bins = Qué admite cada lombricompostera
sheet-head-do = Qué hacer
sheet-head-not = Qué no hacer
sheet-head-care = Cuidado
sheet-head-log = Qué se echó (el docente lo anota después, con la hora)
sheet-column-time = Hora
sheet-column-bin = Lombricompostera
sheet-column-what = Qué
sheet-column-amount = Cuánto
sheet-duty-hours = { $bin }, de { $opens } a { $closes }
sheet-duty =
    { $count ->
        [0] { $bin }: aún nadie, así que pregunta en clase quién quiere
       *[other] { $bin }: { $pupils }, con un adulto al lado
    }
sheet-bin-empty = en { $bin } aún no viven lombrices, así que no eches nada
sheet-bin-later = lo que admite { $bin } se sabe el mismo día, así que pide entonces una hoja nueva
sheet-do-amount = da a cada lombricompostera como mucho lo que admite y guarda el resto para otro día
sheet-do-small = que los alumnos rompan o corten los restos en trozos no mayores que un pulgar
sheet-do-bury = entierra los restos y cúbrelos con cama
sheet-do-write = anota abajo qué se echó, cuándo, cuánto y en qué lombricompostera
sheet-do-honest = si se echó demasiado o algo que no debía, anótalo también: nadie se molesta
sheet-not-foods = no eches nada de esto: { $foods }
sheet-not-dig = no remuevas la cama ni viertas nada en una lombricompostera
sheet-not-baits = no pongas cebos, polvos ni aerosoles contra animales: hay niños cerca
sheet-care-hands = después todos se lavan las manos con jabón
sheet-care-gloves = usa guantes, y que nadie con asma, alergia al moho o defensas bajas se acerque a una lombricompostera abierta
sheet-care-hot = no toques nunca una cama que se note caliente: cierra la tapa, no eches nada y avisa
sheet-care-ask = en caso de duda, no eches nada y pregunta a quien te dio esta hoja o a { $names }; devuélvela al final del día, porque lleva nombres de alumnos
sheet-care-ask-keeper = en caso de duda, no eches nada y pregunta a quien te dio esta hoja; devuélvela al final del día, porque lleva nombres de alumnos

## Lo que se imprime en papel. $code viene en grupos de cuatro.

sheet-what = en { $site } compartimos lombricomposteras, y puedes participar
sheet-how = escribe el código { $code } donde Wormrota pregunta cómo participas, con tu nombre y el número de tu vivienda, si lo hay
sheet-then = después, alguien que cuida las lombricomposteras te da entrada
slip-what = con este papel entras en { $site }, una sola vez
slip-what-for = con este papel { $name } entra en { $site }, una sola vez
slip-how = escribe el código { $code } donde Wormrota pregunta cómo entras
slip-care = quien lo tenga puede entrar en tu lugar, así que no lo enseñes a nadie
lid-what = esta es la lombricompostera { $bin } de { $site }
lid-how = para ver qué admite hoy, escribe el código { $code } donde Wormrota pide el código de una tapa
code-until = el código sirve hasta el { $date }

## Páginas tras los enlaces de los correos. Los títulos y los botones van solos.

page-over-title = Este enlace ya no hace nada
page-over = se usó, se acabó su plazo o el asunto ya está resuelto
page-over-how = si aún queda algo por decir, pregunta a quien cuida las lombricomposteras
page-late-title = El plazo para esto ha terminado
page-late = este enlace funcionó hasta { $until }
page-late-fed = si sabes si se alimentó la lombricompostera, díselo a { $whom }
page-late-turn = el turno ya pasó, así que no tienes que hacer nada más
page-whom = quien cuida las lombricomposteras
page-link-used =
    { $kind ->
        [reset] con este enlace ya se puso una contraseña nueva, y sirve una sola vez
       *[sign_in] alguien ya entró con este enlace, y sirve una sola vez
    }
page-link-expired = el plazo de este enlace ha terminado
page-link-revoked = este enlace se anuló o lo reemplazó algo más nuevo: otro correo o una contraseña nueva
page-trouble-title = No ha funcionado
page-trouble = ahora mismo hay un obstáculo, así que no se ha cambiado nada; vuelve a abrir el enlace dentro de unos minutos
page-often-title = Espera un poco
page-often =
    { $minutes ->
        [one] se ha pedido demasiadas veces desde aquí o para esta dirección; vuelve dentro de un minuto
       *[other] se ha pedido demasiadas veces desde aquí o para esta dirección; vuelve dentro de { $minutes } minutos
    }
page-stop-title = ¿Quieres menos correos?
page-stop =
    { $group ->
        [reminders] con el botón de abajo terminan los correos que te recuerdan tus turnos
        [questions] con el botón de abajo terminan los correos que preguntan si se alimentó una lombricompostera
        [changes] con el botón de abajo terminan los correos sobre cambios en tus turnos: nadie te avisará entonces si te dan uno
        [calls] con el botón de abajo terminan los correos que te piden tomar el turno de alguien que está fuera
        [keeping] con el botón de abajo terminan los correos sobre lo que hay que cuidar en las lombricomposteras: calor, plagas, personas nuevas; procura que otra persona las reciba
       *[digest] con el botón de abajo terminan los correos con el resumen de la semana
    }
page-stop-others = todos los demás correos siguen
page-stop-button = Sí, terminar estos correos
page-stopped =
    { $group ->
        [reminders] desde ahora no recibes correos que te recuerden tus turnos
        [questions] desde ahora no se te pregunta si se alimentó una lombricompostera
        [changes] desde ahora no se te avisa cuando cambia algo de tus turnos
        [calls] desde ahora no se te pide que tomes el turno de alguien que está fuera
        [keeping] desde ahora no se te avisa de lo que hay que cuidar en las lombricomposteras
       *[digest] desde ahora no recibes correos con el resumen de la semana
    }
page-stopped-how = para volver a recibirlos, usa el botón de abajo; dentro de unas semanas este enlace caduca, y entonces pregunta a quien cuida las lombricomposteras
page-stopped-title = Estos correos han terminado
page-stopped-button = Volver a recibir estos correos
page-on-again-title = Vuelves a recibir estos correos
page-on-again =
    { $group ->
        [reminders] desde ahora se te vuelven a recordar tus turnos
        [questions] desde ahora se te vuelve a preguntar si se alimentó una lombricompostera
        [changes] desde ahora se te vuelve a avisar cuando cambia algo de tus turnos
        [calls] desde ahora se te vuelve a pedir que tomes el turno de alguien que está fuera
        [keeping] desde ahora se te vuelve a avisar de lo que hay que cuidar en las lombricomposteras
       *[digest] desde ahora vuelves a recibir el resumen de la semana
    }

## Llega un turno. El asunto y el título van solos. $when es today, tomorrow o later.

letter-coming-subject =
    { $when ->
        [today] Hoy te toca la lombricompostera «{ $bin }»
        [tomorrow] Mañana te toca la lombricompostera «{ $bin }»
       *[later] Tu turno en la lombricompostera «{ $bin }»: { $date }
    }
letter-coming =
    { $when ->
        [today] hoy te toca { $what }
        [tomorrow] mañana te toca { $what }
       *[later] el { $date } te toca { $what }
    }
# Sigue a «te toca».
letter-coming-duty =
    { $duty ->
        [feeding] alimentar la lombricompostera «{ $bin }»
        [watering] regar la lombricompostera «{ $bin }»
        [looking] revisar la lombricompostera «{ $bin }»
        [harvest] sacar humus de la lombricompostera «{ $bin }»
       *[tidying] ordenar alrededor de la lombricompostera «{ $bin }»
    }
letter-coming-hours = ven entre las { $opens } y las { $closes }
letter-coming-any-hour = puedes ir a cualquier hora del día
letter-coming-with =
    { $count ->
        [one] también va { $names }
       *[other] también van { $names }
    }
letter-coming-with-others =
    { $count ->
        [one] también va otra persona
       *[other] también van otras { $count } personas
    }
letter-coming-with-more =
    { $count ->
        [one] también van { $names } y otra persona
       *[other] también van { $names } y otras { $count } personas
    }
letter-coming-room =
    { $when ->
        [today] hoy la lombricompostera admite hasta { $room }, por lo que se sabe: pregunta antes de echar más
       *[other] ese día la lombricompostera probablemente admitirá { $room }: es una previsión, así que vuelve a preguntar antes de echarlo
    }
letter-coming-room-shared =
    { $when ->
        [today] hoy la lombricompostera admite hasta { $room } en total, según se puede calcular, y { $people }: { $yours }
       *[other] ese día la lombricompostera probablemente admitirá { $room } en total, y { $people }: { $yours }; es una previsión, así que vuelve a preguntar antes de echarlo
    }
letter-coming-people =
    { $count ->
        [2] van dos personas contándote a ti
        [3] van tres personas contándote a ti
       *[other] van { $count } personas contándote a ti
    }
letter-coming-part =
    { $booked ->
        [0] tu parte es { $part }
       *[other] tu parte de lo que nadie reservó es { $part }
    }
letter-coming-room-booked =
    { $when ->
        [today] los demás ya reservaron todo lo que la lombricompostera admite hoy: no lleves restos y échales una mano
       *[other] los demás ya reservaron todo lo que la lombricompostera admite ese día: no lleves restos y échales una mano
    }
letter-coming-booked = el sitio que reservaste para { $booked } es tuyo: no lleves más que eso
letter-coming-no-room =
    { $when ->
        [today] hoy la lombricompostera no admite nada: guarda tus restos en el congelador y solo mira que todo esté cubierto y la tapa cerrada
       *[other] tal como está, ese día la lombricompostera no admitirá nada: guarda tus restos en el congelador y solo mira que todo esté cubierto y la tapa cerrada
    }
letter-coming-no-worms = no consta que ya vivan lombrices ahí, así que no eches nada y pregunta antes
letter-coming-bedding = para esa cantidad, { $bedding }
letter-coming-shut = { $site } está cerrado entonces, y esta visita se hace de todos modos
letter-coming-way-in = para saber cómo entrar, habla antes con { $whom }
letter-coming-by-plan = según el plan para los días de cierre, { $what }
letter-coming-never = no lleves carne, pescado, lácteos, aceite ni nada salado, picante o cocinado con grasa
letter-coming-never-here = aquí tampoco admite: { $foods }
letter-coming-how =
    { $duty ->
        [feeding] entierra la comida, cúbrela con cama, cierra la tapa y anota lo que echaste
        [watering] toca la cama: debe estar húmeda como una esponja escurrida; si está más seca, rocíala con un poco de agua y para antes de que gotee
        [looking] abre la tapa, mira bajo la cama, huele y anota lo que viste
        [harvest] saca solo lo oscuro y desmenuzado que ya no tenga comida, devuelve las lombrices y no uses el líquido en plantas que se comen
       *[tidying] barre, mira que todas las tapas estén cerradas, repón el papel seco y no dejes comida por ahí
    }
letter-coming-hands =
    { $duty ->
        [tidying] después lávate las manos con jabón
       *[other] usa guantes y después lávate las manos con jabón
    }
letter-coming-hot = si la cama se nota caliente, no metas la mano: no eches nada, cierra la tapa y avisa
letter-coming-give-back = si no puedes ir, devuelve tu puesto a más tardar el { $date } para que lo tome otra persona
letter-coming-ask = si tienes una pregunta, habla con { $whom }
letter-coming-too-late = si te surge algo, avisa enseguida a { $whom }: ya no puedes devolver el puesto, pero hasta que termine el turno puedes decir que no puedes ir, y se busca a otra persona
letter-coming-rules = si tu casa o escuela tiene sus propias reglas, esas mandan

## Si se alimentó una lombricompostera. Asuntos, títulos, botones, enlaces y etiquetas van solos.

letter-fed-subject = ¿Se alimentó la lombricompostera «{ $bin }» { $on }?
letter-fed =
    { $whose ->
        [class] { $on } le tocaba a tu clase la lombricompostera «{ $bin }», y nadie ha anotado todavía si se alimentó
       *[own] { $on } te tocaba la lombricompostera «{ $bin }», y nadie ha anotado todavía si se alimentó
    }
letter-fed-again =
    { $whose ->
        [class] seguimos sin saber si se alimentó la lombricompostera «{ $bin }» { $on }, cuando le tocaba a tu clase
       *[own] seguimos sin saber si se alimentó la lombricompostera «{ $bin }» { $on }, cuando te tocaba
    }
letter-fed-why = elige una de estas respuestas, y así quien venga después sabrá cuánto les queda de comer a las lombrices
letter-fed-yes =
    { $whose ->
        [class] Sí, la alimentamos
       *[own] Sí, la alimenté
    }
letter-fed-no = No, no se alimentó
letter-fed-other = La alimentó otra persona
letter-fed-fine = también puedes decir que no: nadie se molesta, y quien cuida las lombricomposteras irá a mirar
letter-fed-links = cada una abre una página que vuelve a preguntar, y sirven hasta el { $date }
letter-missed-subject = La lombricompostera «{ $bin }» no se alimentó { $on }
letter-missed-unknown-subject = No sabemos si se alimentó «{ $bin }» { $on }
letter-missed =
    { $whose ->
        [class] { $on } le tocaba a una clase la lombricompostera «{ $bin }», y nos dicen que no se alimentó
       *[own] alguien tenía turno en la lombricompostera «{ $bin }» { $on }, y nos dicen que no se alimentó
    }
letter-missed-unknown =
    { $whose ->
        [class] { $on } le tocaba a una clase la lombricompostera «{ $bin }»; no se anotó nada, y nadie ha respondido a nuestra pregunta
       *[own] alguien tenía turno en la lombricompostera «{ $bin }» { $on }; no se anotó nada, y nadie ha respondido a nuestras preguntas
    }
letter-missed-says-no = { $name } dice que no se alimentó
letter-missed-silent = { $name } no ha respondido
letter-missed-gone = alguien que ya se fue
letter-missed-looked = el { $date } alguien miró la lombricompostera
letter-missed-unlooked = nadie ha mirado la lombricompostera desde entonces
letter-missed-hungry = según nuestros cálculos a las lombrices no les queda nada de comer; la lombricompostera admite hasta { $room }
letter-missed-can-wait = según nuestros cálculos no hay prisa: las lombrices pueden esperar al próximo turno, y la lombricompostera admite hasta { $room }
letter-missed-full = según nuestros cálculos ahora no conviene echar nada
letter-missed-do = Qué ayuda ahora
letter-missed-do-ask = pregunta a quien tenía el turno: quizá la alimentó y se olvidó de decirlo
letter-missed-do-feed = si no se alimentó, aliméntala hoy, con { $room } como mucho, o pídeselo a alguien
letter-missed-do-plan = si aún nadie tiene el próximo turno, busca a alguien
letter-missed-do-leave = no eches nada por ahora
letter-missed-do-write = cuando se eche comida, anota cuánta
letter-missed-do-care = usa guantes, lávate después las manos con jabón y no toques una cama que se note caliente
page-fed-title = Sí, se alimentó
page-fed = di cuánto se echó más o menos en la lombricompostera «{ $bin }» { $on }
page-fed-how = basta un cálculo aproximado de todo lo que se echó en este turno
page-fed-amount = Cuánto se echó
page-fed-portion = Más o menos { $amount }
page-fed-unknown = No lo sé
page-fed-usual = No lo sé: anoten { $amount }, como de costumbre
page-fed-button = Anotarlo
page-fed-by-other-title = La alimentó otra persona
page-fed-by-other = si sabes cuánto se echó más o menos en la lombricompostera «{ $bin }» { $on }, dilo
page-fed-by-other-button = La alimentó otra persona
page-not-fed-title = No, no se alimentó
page-not-fed = vas a decir que nadie alimentó la lombricompostera «{ $bin }» { $on }
page-not-fed-how = nadie se molesta; quien cuida las lombricomposteras se entera y se ocupa de las lombrices
page-not-fed-button = No, no se alimentó
page-answered-title = Gracias por tu respuesta
page-fed-done = esto es lo que nos dijiste de la lombricompostera «{ $bin }» { $on }; no volveremos a preguntar
page-fed-done-how = si la cantidad no es correcta, pide a quien cuida las lombricomposteras que la corrija
page-fed-by-other-done = nos dijiste que otra persona alimentó la lombricompostera «{ $bin }» { $on }; no volveremos a preguntar
page-fed-by-other-done-how = si averiguas cuánto fue, díselo a quien cuida las lombricomposteras
page-not-fed-done = nos dijiste que la lombricompostera «{ $bin }» no se alimentó { $on }; se lo decimos a quien cuida las lombricomposteras
page-not-fed-done-how = si fue un error, díselo a quien cuida las lombricomposteras
page-fed-known-title = Ya no queda nada que responder
page-fed-known-amount = mientras tanto se anotó { $amount } en la lombricompostera «{ $bin }» { $on }
page-fed-known = mientras tanto alguien respondió: la lombricompostera «{ $bin }» se alimentó { $on }
page-fed-known-how = si echaste algo aparte, díselo a quien cuida las lombricomposteras

## Correos sobre lo que ha cambiado en los turnos propios. Los asuntos y los títulos van solos.

letter-turn-day = { $date }
letter-turn-hours = { $date } de { $opens } a { $closes }
letter-turn =
    para { $duty ->
        [feeding] alimentar la lombricompostera { $bin }
        [watering] regar la lombricompostera { $bin }
        [looking] mirar dentro de la lombricompostera { $bin }
        [harvest] sacar humus de la lombricompostera { $bin }
       *[tidying] ordenar alrededor de la lombricompostera { $bin }
    } el { $when }
letter-turn-title =
    { $duty ->
        [feeding] Alimentar la lombricompostera { $bin }
        [watering] Regar la lombricompostera { $bin }
        [looking] Mirar dentro de la lombricompostera { $bin }
        [harvest] Sacar humus de la lombricompostera { $bin }
       *[tidying] Ordenar alrededor de la lombricompostera { $bin }
    }
letter-turn-point =
    { $when }: { $duty ->
        [feeding] alimentar la lombricompostera { $bin }
        [watering] regar la lombricompostera { $bin }
        [looking] mirar dentro de la lombricompostera { $bin }
        [harvest] sacar humus de la lombricompostera { $bin }
       *[tidying] ordenar alrededor de la lombricompostera { $bin }
    }
letter-turn-point-with = { $point }, con { $names }
letter-turn-with = en el mismo turno: { $names }
letter-ask-names = { $names }
letter-ask-keepers = quien cuida las lombricomposteras
letter-turn-back = si no puedes venir, devuelve tu puesto a más tardar el { $date } para que otra persona pueda tomarlo, o pide ayuda a { $whom }
letter-turn-back-late = si no puedes venir, avisa cuanto antes a { $whom }: ya es tarde para devolver tu puesto, pero hasta que termine el turno puedes decir que no puedes venir, y se busca a otra persona
letter-turns-back =
    { $days ->
        [0] si no puedes venir uno de esos días, devuelve ese puesto antes de que acabe el día
        [one] si no puedes venir uno de esos días, devuelve ese puesto a más tardar el día anterior
       *[other] si no puedes venir uno de esos días, devuelve ese puesto al menos { $days } días antes
    } para que otra persona pueda tomarlo, o pide ayuda a { $whom }
letter-turn-by = este cambio lo hizo { $name }
letter-turn-given-by = este turno te lo dio { $name }
letter-turn-ask = si algo no está bien, pregunta a { $whom }
letter-turn-given-subject = Un turno para ti el { $date }
letter-turn-given = ahora tienes un turno { $turn }
letter-turn-given-instead = alguien que iba a venir no puede, así que vienes en su lugar
letter-turn-again-subject = Tu turno del { $date } vuelve a ser tuyo
letter-turn-again = has vuelto, así que el turno { $turn } es tuyo otra vez
letter-turn-gone-subject = No hace falta que vengas el { $date }
letter-turn-gone = el turno { $turn } ya no es tuyo, así que no hace falta que vengas
letter-turn-off-subject = No hay turno el { $date }
letter-turn-off = tu turno { $turn } no se hace, así que no hace falta que vengas
letter-turn-off-shut = { $site } está cerrado ese día, así que tu turno { $turn } no se hace y no hace falta que vengas
letter-turn-off-kept = tu puesto sigue siendo tuyo: si al final el turno se hace, recibirás otro correo
letter-turn-on-subject = Tu turno del { $date } se hace al final
letter-turn-on = tu turno { $turn } se hace al final, y tu puesto sigue siendo tuyo
letter-turn-hours-subject = Otro horario para tu turno del { $date }
letter-turn-hours-now = tu turno tiene otro horario: ven { $turn }
letter-turn-hours-any = sirve cualquier hora de ese día
letter-turn-hours-before = hasta ahora era de { $opens } a { $closes }
letter-turn-room-subject = Reserva otra vez sitio para tu turno del { $date }
letter-turn-room-only = tu turno { $turn } estuvo suspendido un tiempo y al final se hace
letter-turn-room = el sitio para { $amount } que habías reservado para ese turno se ha liberado
letter-turn-room-again = reserva otra vez antes de traer restos
letter-turn-room-keep = no traigas esos restos ese día
letter-turns-subject = Cambios en tus turnos en { $site }
letter-turns = algo ha cambiado en tus turnos en { $site }
letter-turns-visit = { $point }, aunque { $site } está cerrado entonces
letter-turns-files =
    { $count ->
        [one] un archivo de este correo avisa a tu calendario de uno de estos turnos: ábrelo si tu calendario no lo toma solo
       *[other] { $count } archivos de este correo avisan a tu calendario de estos turnos: abre cada uno si tu calendario no los toma solo
    }
letter-turns-again = Otra vez tuyos, porque has vuelto
letter-turns-given = Ahora son tuyos
letter-turns-on = Se hacen al final
letter-turns-hours = Tienen otro horario
letter-turns-gone = Ya no son tuyos
letter-turns-off = No se hacen
letter-turns-room = Se hacen tras una pausa
letter-turns-off-kept = tus puestos en los turnos que no se hacen siguen siendo tuyos: si alguno se hace al final, recibirás otro correo
letter-turns-rooms =
    { $count ->
        [one] el sitio que habías reservado para uno de estos turnos se ha liberado
       *[other] el sitio que habías reservado para { $count } de estos turnos se ha liberado
    }: trae restos solo donde hayas reservado otra vez
letter-rota-subject = Tus turnos en { $site }
letter-rota =
    ya está la lista de turnos de { $site } del { $first } al { $last }, y en ella tienes { $count ->
        [one] un turno
       *[other] { $count } turnos
    }
letter-rota-without-you = ya está la lista de turnos de { $site } del { $first } al { $last }, y en ella no tienes ningún turno
letter-rota-changed = ha cambiado la lista de turnos de { $site } del { $first } al { $last }, y con ella algunos de tus turnos
letter-rota-rest = tus demás turnos siguen como estaban
letter-rota-trade = si quieres cambiar un turno con una vecina o un vecino, ponte de acuerdo con esa persona y pide el cambio a { $whom }

## Correos para quien cuida las lombricomposteras. Los asuntos y encabezados van solos.

letter-what-to-do = Qué hacer
letter-as-deputy = recibes esto como suplente en { $site }, porque nadie más se ha ocupado todavía
letter-newcomer-subject = Alguien espera entrar en { $site }
letter-newcomer = { $who } pidió el { $date } participar en las lombricomposteras de { $site } y espera que le des paso
letter-newcomer-flat = { $who }, del piso { $flat }, pidió el { $date } participar en las lombricomposteras de { $site } y espera que le des paso
letter-newcomer-how = si sabes que { $who } es de aquí, dale paso: abre la lista de recién llegados en el programa que usas para las lombricomposteras y confirma allí
letter-newcomer-refuse = si no sabes quién es, pregunta antes en su puerta o rechaza la petición en la misma lista: entonces no se guarda nada de lo que escribió
letter-let-in-subject = Ya estás dentro: las lombricomposteras de { $site }
letter-let-in = te han dado paso en { $site }: ya puedes tomar turnos en sus lombricomposteras y llevar tus restos
letter-let-in-account = entra como siempre y lo verás en tu lista de sitios
letter-let-in-first = antes de llevar algo, pregunta qué admite la lombricompostera ese día: demasiado de una vez daña a las lombrices
letter-let-in-ask = si tienes una pregunta, habla con { $names }
letter-bounced-subject = Los correos a alguien de { $site } vuelven
letter-bounced = los correos a { $who } vuelven: su dirección no los acepta
letter-bounced-ask = pregunta a { $who }, en su puerta o por teléfono, si su dirección sigue siendo correcta
letter-bounced-correct = si es otra, ponla en la lista de miembros: entonces sale una invitación hacia allí
letter-bounced-again = si al final es correcta, elige en la lista de miembros que se vuelva a intentar
letter-bounced-meanwhile = hasta entonces no recibe correos, así que avísale tú si cambia algo de sus turnos
letter-trouble-subject =
    { $trouble ->
        [over_limit] Demasiada comida en la lombricompostera «{ $bin }»
        [never_food] En la lombricompostera «{ $bin }» hay algo que no debe estar
        [too_hot] Demasiado calor para las lombrices en «{ $bin }»
        [bin_rests] La lombricompostera «{ $bin }» tiene que descansar
        [trouble_seen] Alguien vio un problema en la lombricompostera «{ $bin }»
        [too_cold] Demasiado frío para las lombrices en «{ $bin }»
        [hungry] Lombrices con hambre en la lombricompostera «{ $bin }»
        [drying_out] La lombricompostera «{ $bin }» se seca
        [too_wet] La lombricompostera «{ $bin }» está demasiado mojada
       *[no_worms] Casi no quedan lombrices en la lombricompostera «{ $bin }»
    }
letter-trouble =
    { $trouble ->
        [over_limit] el { $date } se echó en la lombricompostera «{ $bin }» más de lo que sus lombrices pueden comer a tiempo
        [never_food] el { $date } se echó en la lombricompostera «{ $bin }» algo que nunca va dentro
        [too_hot] { $when ->
            [soon] en la lombricompostera «{ $bin }» hará demasiado calor para las lombrices { $on }
           *[now] en la lombricompostera «{ $bin }» hace demasiado calor para las lombrices
        }
        [bin_rests] la lombricompostera «{ $bin }» tiene que descansar desde el { $date }: se nota que recibió demasiada comida
        [trouble_seen] el { $date } alguien miró dentro de la lombricompostera «{ $bin }» y vio algo que debes saber
        [too_cold] { $when ->
            [soon] en la lombricompostera «{ $bin }» hará demasiado frío para las lombrices { $on }
           *[now] en la lombricompostera «{ $bin }» hace demasiado frío para las lombrices
        }
        [hungry] no ha entrado nada en la lombricompostera «{ $bin }» desde el { $date } y sus lombrices adelgazan
        [drying_out] la cama de la lombricompostera «{ $bin }» empezó a secarse hacia el { $date }, y nadie la ha regado desde entonces
        [too_wet] la cama de la lombricompostera «{ $bin }» está empapada: se vio por última vez el { $date }
       *[no_worms] según nuestros cálculos casi no quedan lombrices en la lombricompostera «{ $bin }»
    }
letter-trouble-site = se trata de las lombricomposteras de { $site }
letter-trouble-measured =
    { $when ->
        [soon] según lo que se midió hace poco, la cama estará entonces a unos { $bed }
       *[now] según lo que se midió hace poco, la cama está a unos { $bed }
    }
letter-trouble-assumed =
    { $when ->
        [soon] nadie ha medido la cama hace poco: según el tiempo habitual del mes puede estar entonces a { $bed }, así que mide primero
       *[now] nadie ha medido la cama hace poco: según el tiempo habitual del mes puede estar a { $bed }, así que mide primero
    }
letter-troubles-subject = Varios problemas en la lombricompostera «{ $bin }»
letter-troubles = a la lombricompostera «{ $bin }» le pasan varias cosas a la vez; primero va la más grave
letter-trouble-heading =
    { $trouble ->
        [over_limit] Demasiada comida
        [never_food] Algo que no debe estar
        [too_hot] Demasiado calor para las lombrices
        [bin_rests] Tiene que descansar
        [trouble_seen] Lo que alguien vio
        [too_cold] Demasiado frío para las lombrices
        [hungry] Lombrices con hambre
        [drying_out] Se seca
        [too_wet] Está demasiado mojada
       *[no_worms] Casi no quedan lombrices
    }
letter-trouble-sign = lo que se notó: { $sign }
letter-seen-flies = moscas de la fruta
letter-seen-ants = hormigas
letter-seen-mites = muchos ácaros
letter-seen-climbing = lombrices que suben por las paredes y quieren salir
letter-seen-liquid = líquido en el fondo
letter-seen-rodents = ratas o ratones, o sus rastros
letter-step-deadly = por encima de { $lethal } las lombrices mueren: si la cama está así de caliente, lleva la lombricompostera a un lugar fresco ahora, antes que nada
letter-step-hot = no metas la mano en una cama que se siente caliente antes de que se enfríe
letter-step-nothing-in = no eches nada y avisa a quienes tienen los próximos turnos
letter-step-shade = quita la lombricompostera del sol o dale sombra, y deja que entre aire
letter-step-ice = pon papel húmedo y hielo sobre la cama
letter-step-measure = vuelve a medir la cama al día siguiente y anota lo que leas
letter-step-bring-in = mete la lombricompostera dentro o abrígala bien
letter-step-look-again = vuelve a mirar en tres días y anota lo que veas
letter-step-take-out = con guantes, saca lo que no debe estar y échalo a la basura
letter-step-remind = recuerda a todo el mundo qué va dentro y qué no, sin nombrar a nadie
letter-step-look-clear = vuelve a mirar en unos días y anota lo que veas: tras una mirada buena admite la mitad, y tras otra, todo
letter-step-handful = no eches más de { $room } de una vez y, con guantes, saca la comida que siga entera
letter-step-small-meal = lleva una comida pequeña: ahora admite { $room }
letter-step-turns = procura que alguien tenga los próximos turnos
letter-step-look-write = mira qué vive dentro y anota lo que veas
letter-step-dry-food = deja fuera melón, tomate y otros restos con mucha agua durante una semana
letter-step-find-worms = levanta la cama en varios sitios y busca lombrices
letter-step-restock = si casi no encuentras, no eches nada, pide lombrices nuevas y puéblala de nuevo
letter-step-rodents = cierra la tapa y cada agujero y llama a un control de plagas autorizado; nada de cebos donde haya niños
letter-trouble-ask = si no puedes ocuparte tú, pídeselo a { $names }
letter-trouble-tick =
    { $count ->
        [one] cuando esté hecho, marca el aviso como visto para que los demás lo sepan
       *[other] cuando esté hecho, marca los avisos como vistos para que los demás lo sepan
    }
letter-care-gloves = usa guantes
letter-care-rules = si la casa, la escuela o la ciudad tienen reglas sobre esto, esas mandan
letter-week-subject = Tus lombricomposteras, semana del { $date }
letter-week = esto es lo que hay que saber de tus lombricomposteras en la semana que empieza el { $date }
letter-week-site = { $site }
letter-week-quiet =
    { $count ->
        [0] aún no hay lombrices y no tienes nada pendiente
        [one] la lombricompostera está bien y no tienes nada pendiente; la semana pasada entraron { $week }, y { $year } desde principios de año
       *[other] las { $count } lombricomposteras están bien y no tienes nada pendiente; la semana pasada entraron { $week }, y { $year } desde principios de año
    }
letter-week-empty =
    { $count ->
        [one] { $date }, «{ $bin }»: queda 1 puesto libre
       *[other] { $date }, «{ $bin }»: quedan { $count } puestos libres
    }
letter-week-empty-more =
    { $count ->
        [one] 1 turno más tiene puestos libres
       *[other] { $count } turnos más tienen puestos libres
    }
letter-week-missed = { $date }, «{ $bin }»: nadie anotó que se alimentara
letter-week-missed-more =
    { $count ->
        [one] 1 turno más sin comida anotada
       *[other] { $count } turnos más sin comida anotada
    }
letter-week-bin =
    «{ $bin }»: { $how ->
        [full] está bien, y por ahora ya comió bastante
        [too_hot] hace demasiado calor o pronto lo hará, así que no eches nada
        [bin_rests] tiene que descansar, así que mira dentro
        [too_cold] hace demasiado frío o pronto lo hará, así que no eches nada
        [hungry] tiene hambre, así que dale hasta { $room }
        [hungry_booked] tiene hambre, y otros reservaron lo que admite, así que procura que vengan
        [drying_out] se seca, así que rocíala con agua
        [too_wet] está demasiado mojada, así que mezcla cama seca
        [no_worms] casi no quedan lombrices, así que mira dentro
       *[fine] está bien, y ahora admite { $room }
    }
letter-week-newcomers =
    { $count ->
        [one] 1 persona espera que le des paso
       *[other] { $count } personas esperan que les des paso
    }
letter-week-come-back =
    { $count ->
        [one] los correos a 1 persona vuelven, así que pide la dirección correcta
       *[other] los correos a { $count } personas vuelven, así que pide las direcciones correctas
    }
letter-week-failed =
    { $count ->
        [one] 1 correo no se pudo enviar la semana pasada
       *[other] { $count } correos no se pudieron enviar la semana pasada
    }
# Lo que nadie marcó como visto.
letter-week-notice =
    { $date }, «{ $bin }»: { $trouble ->
        [over_limit] se echó demasiada comida
        [never_food] se echó algo que nunca va dentro
        [too_hot] hacía demasiado calor
        [bin_rests] tenía que descansar
        [trouble_seen] alguien vio plagas, líquido o lombrices que quieren salir
        [too_cold] hacía demasiado frío
        [hungry] tenía hambre
        [drying_out] se secaba
        [too_wet] estaba demasiado mojada
       *[no_worms] casi no quedaban lombrices
    }; cuando esté resuelto, márcalo como visto
letter-week-notices-more =
    { $count ->
        [one] 1 aviso más no está marcado como visto
       *[other] { $count } avisos más no están marcados como vistos
    }
letter-week-fed = la semana pasada entraron { $week } de restos, y { $year } desde principios de año

## Enlaces a páginas, y páginas donde se escribe una contraseña. Los títulos y los botones van solos.

letter-invitation-link = Aceptar la invitación
letter-reset-link = Elegir una contraseña nueva
letter-reset-unexpected = si no la pediste, no hagas nada: tu contraseña sigue igual
letter-signin-link = Entrar
letter-signin-unexpected = si no lo pediste, no hagas nada: sin ese botón nadie entra
letter-signin-password = Si prefieres tener una contraseña
letter-link-secret = quien tenga el enlace puede usarlo, así que no se lo des a nadie
letter-for-programs = el programa que usas para las lombricomposteras, si usas alguno, puede hacer lo mismo con esta petición
letter-fewer = Menos correos como este
page-password = Contraseña
page-password-again = La misma contraseña otra vez
page-password-differs = las dos contraseñas no eran iguales; escribe las dos de nuevo
page-password-length = una contraseña tiene de { $least } a { $most } caracteres; van bien cuatro palabras que no tengan nada que ver entre sí
page-password-guessable = esa contraseña es de las primeras que otros probarían; elige otra
page-invitation-title = Las lombricomposteras de { $site }
page-invitation = hola, { $name }: te invitan a las lombricomposteras compartidas de { $site }
page-invitation-account = ya hay una cuenta con tu dirección { $email }; seguirás entrando con ella
page-invitation-password = elige una contraseña: entrarás con ella y con tu dirección { $email }
page-invitation-no-password = o deja los dos campos vacíos: entonces entrarás cada vez con un enlace que te llega por correo
page-invitation-button = Sí, quiero participar
page-invitation-there = ya formas parte de las lombricomposteras de { $site }, así que no hay nada que hacer
page-invitation-expired = la invitación a las lombricomposteras de { $site } ha caducado
page-invitation-taken-back = la invitación a las lombricomposteras de { $site } se anuló o la reemplazó un correo más nuevo
page-invitation-ask = si quieres participar, pide una invitación nueva a { $whom }
page-joined = te damos la bienvenida: ya formas parte de las lombricomposteras de { $site }
page-joined-account = entra con tu dirección { $email }, como siempre
page-joined-password = entra con tu dirección { $email } y la contraseña que elegiste
page-joined-links = cuando quieras entrar, pide un enlace para tu dirección { $email }
page-joined-letters = antes de cada turno tuyo recibirás un correo que dice qué hacer; al pie está cómo recibir menos
page-joined-ask = si tienes alguna pregunta, habla con { $names }
page-joined-hands = ponte guantes junto a las lombricomposteras o lávate las manos después
page-reset-title = Una contraseña nueva
page-reset = elige una contraseña nueva para { $email }
page-reset-button = Poner esta contraseña
page-reset-done = desde ahora entras con { $email } y tu contraseña nueva
page-reset-ended = quien había entrado con la anterior tiene que entrar de nuevo
page-ask-reset-link = Pedir una contraseña nueva
page-ask-signin-link = Pedir un enlace para entrar
page-ask-reset = escribe la dirección a la que llegan tus correos: allí va un enlace con el que eliges una contraseña nueva
page-ask-signin = escribe la dirección a la que llegan tus correos: allí va un enlace con el que entra el programa que usas para las lombricomposteras
page-ask-address = Tu dirección de correo
page-ask-no-address = lo que se escribió no es una dirección de correo; escríbela de nuevo
page-ask-button = Enviarme el enlace
page-asked = si hay una cuenta con esta dirección, un correo va en camino; su enlace sirve durante { $minutes } minutos
page-asked-nothing = si no llega nada, mira entre los correos no deseados, prueba con otra dirección tuya o pregunta a quien cuida las lombricomposteras
page-signin-title = Entrar
page-signin = es para el programa que usas para las lombricomposteras: con el botón entras como { $email } y se muestra lo que pide un programa así
page-signin-no-program = si no usas ningún programa, no necesitas entrar: los enlaces de tus correos funcionan sin eso
page-signin-button = Entrar
page-signin-done = has entrado como { $email }; copia en tu programa lo que te pida
page-signin-once = los dos códigos se muestran solo esta vez, así que cópialos antes de salir de la página
page-signin-access = código de acceso («access token»), que sirve hasta { $until }
page-signin-refresh = código de renovación («refresh token»), con el que se obtienen los dos siguientes, una sola vez, hasta { $until }
page-signin-astray = quien los tenga puede actuar en tu nombre, así que no se los des a nadie; si se perdieron, una contraseña nueva los anula

## Calendarios a los que alguien se suscribe. Los títulos van solos.

calendar-own-name = Mis turnos, { $site }
calendar-bin-name = { $bin }, { $site }
calendar-class = lo hace una clase
calendar-off = esto no se hace
calendar-hands = ponte guantes o lávate las manos después
calendar-cannot-come = si no puedes ir, devuelve tu puesto lo antes posible

## Planes para los días de cierre. $meal, $dry y $water llevan su unidad.

closure-last =
    { $known ->
        [turn] en el último turno antes del cierre, { $on }, echa como mucho { $meal }, aunque haya más para echar
        [now] echa ahora como mucho { $meal }, aunque haya más para echar
       *[none] poco antes del primer día, echa como mucho { $meal }, aunque haya más para echar
    }
closure-last-no-food =
    { $known ->
        [turn] en el último turno antes del cierre, { $on }, no eches comida: basta con lo que hay
        [now] no eches comida ahora: basta con lo que hay
       *[none] poco antes del primer día, no eches más comida: basta con lo que hay
    }
closure-bedding = mezcla entonces { $dry } de cama seca
closure-water = riega entonces la cama en varias veces, como mucho { $water } en total, y para en cuanto un puñado parezca una esponja escurrida
closure-done = alguien se ha ocupado ya de la lombricompostera: ahora no hace falta nada más
closure-nobody-needed = no hace falta que venga nadie mientras está cerrado
closure-visits =
    { $count ->
        [one] hace falta que alguien venga una vez mientras está cerrado
       *[other] hace falta que alguien venga { $count } veces mientras está cerrado
    }
closure-visits-agreed =
    { $count ->
        [one] hay una visita acordada, y no hace falta ninguna más
       *[other] hay { $count } visitas acordadas, y no hace falta ninguna más
    }
closure-visits-more =
    { $count ->
        [one] las visitas acordadas no bastan: hace falta que alguien venga una vez más
       *[other] las visitas acordadas no bastan: hace falta que alguien venga { $count } veces más
    }
closure-visits-dry = la cama ya está demasiado seca: cuanto antes la riegue alguien, más lombrices sobreviven
closure-visits-until = quien acordó venir ayuda a la lombricompostera hasta que la lleven
closure-visit-free = acordada { $on }, y aún no la tiene nadie: { $what }
closure-visit-held =
    { $count ->
        [one] acordada { $on }, y viene { $names }: { $what }
       *[other] acordada { $on }, y vienen { $names }: { $what }
    }
closure-visit-somebody = acordada { $on }, y viene alguien: { $what }
closure-visit-on = { $on }: { $what }
closure-visit-between = entre el { $earliest } y el { $latest }, mejor { $on }: { $what }
closure-visit-feed =
    { $bedding ->
        [some] echa como mucho { $meal }, mezcla { $dry } de cama seca y riega en varias veces, como mucho { $water } en total
       *[none] echa como mucho { $meal } y riega en varias veces, como mucho { $water } en total
    }
closure-visit-no-food =
    { $bedding ->
        [some] no eches comida, mezcla { $dry } de cama seca y riega en varias veces, como mucho { $water } en total
       *[none] no eches comida y riega en varias veces, como mucho { $water } en total
    }
closure-visit-dry = { $what }, y riega antes que nada, porque para entonces la cama está demasiado seca
closure-plan-anew = después de cada visita di qué echaste y mira otra vez el plan, porque los días pueden cambiar
closure-alone-fine = si no viene nadie, las lombrices aguantan
closure-alone-fewer = si no viene nadie, quedan muy pocas lombrices a partir del { $date }, y al final unas { $of_hundred } de cada 100
closure-alone-lost = si no viene nadie, la lombricompostera se pierde { $on }
closure-after =
    { $known ->
        [turn] en el primer turno después del cierre, { $on }, mira primero y luego echa como mucho { $meal }
       *[none] cuando venga alguien por primera vez después del cierre, que mire primero y luego eche como mucho { $meal }
    }
closure-after-no-food =
    { $known ->
        [turn] en el primer turno después del cierre, { $on }, mira y no eches comida todavía
       *[none] cuando venga alguien por primera vez después del cierre, que mire y no eche comida todavía
    }
closure-after-ramp =
    { $weeks ->
        [one] después da menos de lo normal durante una semana
       *[other] después da menos de lo normal durante { $weeks } semanas, y un poco más cada semana
    }
closure-move-heat = la cama se calienta tanto que las lombrices mueren a partir del { $date }, y ninguna visita lo evita: lleva la lombricompostera a otra casa
closure-move-frost = la cama se hiela a partir del { $date }, y ninguna visita lo evita: lleva la lombricompostera a otra casa
closure-move-dry = la cama se seca, porque nadie puede venir con bastante frecuencia: lleva la lombricompostera a otra casa
closure-move-hunger = demasiadas lombrices pasan hambre a partir del { $date }, porque nadie puede alimentarlas a tiempo: lleva la lombricompostera a otra casa
closure-host-find = busca a alguien que tenga sitio y la cuide hasta que vuelva
closure-host-place = elige un lugar sin sol y templado, ni caluroso ni cerca de helarse
closure-host-feed-little = no eches comida en la semana antes del traslado
closure-host-drain = vacía el líquido antes de llevarla
closure-host-carry = llévala nivelada, entre dos personas y con las bandejas atadas, y nunca la dejes en un vehículo al sol
closure-host-light = deja una luz encendida encima las primeras noches, para que las lombrices se queden dentro
closure-host-show = enseña a quien la acoge a preguntar antes de alimentarla, cuánta humedad necesita y a quién preguntar
closure-host-look = mírenla juntos a los dos días
closure-host-return = acuerden un día para la vuelta, antes del primer turno
closure-heating =
    { $heating ->
        [on] esto está calculado para un edificio con calefacción durante el cierre
       *[off] esto está calculado para un edificio sin calefacción durante el cierre; si el tuyo la tiene, pide el plan con calefacción
    }
closure-care-hands = ponte guantes con las lombricomposteras y lávate las manos con jabón después
closure-care-liquid = nunca riegues con el líquido que sale plantas que alguien come
closure-care-hot = si una cama está caliente, no eches nada y avisa enseguida
closure-care-rules = las reglas del edificio mandan: nadie entra en días de cierre sin permiso
closure-no-worms = en esta lombricompostera no viven lombrices, así que no hay nada que hacer
closure-no-plan = ahora no se puede planificar nada para esta lombricompostera

## Correos sobre los días de cierre.

letter-closure-subject = { $site } cierra el { $first }: las lombricomposteras
letter-closure = { $site } está cerrado desde el { $first } hasta el { $last }, { $count } días; esto es lo que necesitan las lombricomposteras
letter-closure-bin = Lombricompostera { $bin }
letter-closure-free =
    { $count ->
        [one] la visita del { $first } aún no la tiene nadie: pide a alguien que la tome, o dásela a quien esté de acuerdo
       *[other] { $count } de las visitas aún no las tiene nadie, la primera el { $first }: pide a la gente que las tome, o dáselas a quien esté de acuerdo
    }
letter-closure-held = todas las visitas tienen a alguien: no falta nadie
letter-closure-agree-more = hacen falta más visitas de las acordadas: acepta el plan otra vez, y cualquiera podrá tomar las otras como un turno
letter-closure-agree = las visitas aún no están acordadas: acepta el plan, y cualquiera podrá tomarlas como un turno
letter-closure-open-subject = { $site } está abierto otra vez: empieza despacio con las lombricomposteras
letter-closure-open = { $site } está abierto otra vez, y las lombrices necesitan empezar despacio
letter-closure-open-look = mira dentro de cada lombricompostera antes de echar nada, y di qué ves
letter-closure-open-water = si una cama está seca, riégala en varias veces a lo largo del día y para cuando un puñado parezca una esponja escurrida
letter-closure-open-feed = pregunta qué admite ahora cada lombricompostera, no eches más que eso, y nada donde aún quede comida
letter-closure-open-slowly = después de mucho tiempo sin nadie da poco en la primera semana, y un poco más en cada una después

## Suplencias: quién va en lugar de quien no puede. $day es una fecha, quizá con horas.

cover-day = { $date }
cover-day-hours = { $date }, entre las { $from } y las { $to }
cover-need-unknown = todavía no se puede decir si la lombricompostera «{ $bin }» necesita este turno: se sabrá cuatro semanas antes, cuando vivan lombrices en ella
cover-needed =
    { $reason ->
        [starving] la lombricompostera «{ $bin }» necesita este turno: sin él el hambre se lleva demasiadas lombrices, así que alguien tiene que ir a más tardar { $until }
       *[drying] la lombricompostera «{ $bin }» necesita este turno: su cama empieza a secarse antes de que sea seguro que vaya otra persona, así que alguien tiene que ir a más tardar { $until }
    }
cover-needed-dry = la lombricompostera «{ $bin }» necesita a alguien: su cama ya está seca, así que alguien debería ir cuanto antes
cover-helpful =
    { $reason ->
        [hungry] la lombricompostera «{ $bin }» puede pasar sin este turno, pero algunas lombrices pasarían hambre
        [dry_bed] la lombricompostera «{ $bin }» puede pasar sin este turno, pero su cama está más seca de lo debido
        [rests] la lombricompostera «{ $bin }» puede pasar sin este turno, pero descansa hasta que alguien la mire
        [castings_wait] la lombricompostera «{ $bin }» puede pasar sin este turno; el humus se queda dentro más tiempo
        [around_the_bin] la lombricompostera «{ $bin }» puede pasar sin este turno; alrededor queda sin ordenar
       *[others_come] otras personas van a este turno de la lombricompostera «{ $bin }», y agradecerían una mano
    }
cover-not-needed =
    { $reason ->
        [takes_nothing] la lombricompostera «{ $bin }» no admite comida ese día, así que el puesto puede quedar vacío
        [no_worms] en la lombricompostera «{ $bin }» apenas viven lombrices, así que el puesto puede quedar vacío
        [others_come] van bastantes personas a este turno de la lombricompostera «{ $bin }», así que el puesto puede quedar vacío
       *[can_wait] la lombricompostera «{ $bin }» sigue bien sin nadie más, así que el puesto puede quedar vacío
    }
cover-alone =
    { $state ->
        [well] el { $date } las lombrices siguen bien
        [hungry] el { $date } las lombrices pasan hambre; { $left }
        [drying] el { $date } la cama está demasiado seca; { $left }
       *[both] el { $date } la cama está demasiado seca y las lombrices pasan hambre; { $left }
    }
cover-worms-left =
    { $percent ->
        [100] apenas se pierde alguna lombriz
        [one] queda 1 lombriz de cada 100
       *[other] quedan { $percent } lombrices de cada 100
    }
letter-call-subject = ¿Puedes venir el { $date }?
letter-call =
    { $duty ->
        [feeding] la persona que iba a alimentar la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si puedes ir tú
        [watering] la persona que iba a regar la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si puedes ir tú
        [looking] la persona que iba a mirar la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si puedes ir tú
        [harvest] la persona que iba a sacar humus de la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si puedes ir tú
       *[tidying] la persona que iba a ordenar alrededor de la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si puedes ir tú
    }
# Lo mismo cuando nadie tuvo nunca el puesto.
letter-call-free =
    { $duty ->
        [feeding] de momento nadie alimenta la lombricompostera «{ $bin }» ({ $day }): di, por favor, si puedes ir tú
        [watering] de momento nadie riega la lombricompostera «{ $bin }» ({ $day }): di, por favor, si puedes ir tú
        [looking] de momento nadie mira la lombricompostera «{ $bin }» ({ $day }): di, por favor, si puedes ir tú
        [harvest] de momento nadie saca humus de la lombricompostera «{ $bin }» ({ $day }): di, por favor, si puedes ir tú
       *[tidying] de momento nadie ordena alrededor de la lombricompostera «{ $bin }» ({ $day }): di, por favor, si puedes ir tú
    }
letter-call-counts =
    { $effort ->
        [one] cuenta como un turno tuyo en la próxima lista de turnos
       *[other] cuenta como { $effort } turnos tuyos en la próxima lista de turnos
    }
letter-cover-bring =
    { $duty ->
        [feeding] trae restos de cocina cortados en trozos pequeños, hasta donde la lombricompostera los admita, y cúbrelos con material de cama; si la cama está más seca que una esponja escurrida, rocíala antes con agua; si está caliente, no eches nada y avisa
        [watering] trae agua y échala poco a poco: la cama tiene que quedar húmeda como una esponja escurrida
        [looking] mira debajo de la tapa y del material de cama, y di lo que ves; si la cama está caliente, no eches nada y avisa
        [harvest] trae un balde para el humus; el líquido de la lombricompostera no va sobre nada que se coma
       *[tidying] barre alrededor de la lombricompostera y mira que la tapa esté cerrada
    }
letter-cover-care = ponte guantes y lávate las manos después
letter-call-by = contesta, por favor, a más tardar { $until }; un sí posterior también cuenta mientras nadie más lo haya dicho
letter-call-yes = Sí, voy
letter-call-no = No puedo
letter-call-others =
    { $count ->
        [0] un no está bien, nadie pregunta por qué, y no se te vuelve a preguntar por este turno
        [one] también se preguntó a otra persona, y el primer sí se queda con el puesto; un no está bien, nadie pregunta por qué, y no se te vuelve a preguntar por este turno
       *[other] también se preguntó a otras personas, y el primer sí se queda con el puesto; un no está bien, nadie pregunta por qué, y no se te vuelve a preguntar por este turno
    }
letter-cover-found-subject = Alguien va en tu lugar: { $date }
letter-cover-found = { $name } va en tu lugar a la lombricompostera «{ $bin }» ({ $day })
letter-cover-found-nameless = alguien de la casa va en tu lugar a la lombricompostera «{ $bin }» ({ $day })
letter-cover-found-how = no tienes que hacer nada más
letter-cover-lost-subject = De momento no va nadie en tu lugar: { $date }
letter-cover-lost = al final { $name } no puede ir a la lombricompostera «{ $bin }» ({ $day })
letter-cover-lost-nameless = quien iba a ir en tu lugar a la lombricompostera «{ $bin }» ({ $day }) al final no puede
letter-cover-lost-open = se busca a otra persona, y si no se encuentra a nadie lo sabrá quien cuida las lombricomposteras
letter-cover-lost-empty = la lombricompostera puede pasar sin ese turno
letter-cover-lost-nobody = de momento no se encontró a nadie más, y quien cuida las lombricomposteras lo sabe
letter-cover-taken-subject = Gracias, el turno es tuyo: { $date }
letter-cover-taken = gracias por ir a la lombricompostera «{ $bin }» ({ $day }) en lugar de alguien que no puede
letter-cover-taken-free = gracias por ir a la lombricompostera «{ $bin }» ({ $day }), adonde hasta ahora no iba nadie
letter-cover-taken-back = si surge algo, devuelve el puesto a más tardar { $until }, para que haya tiempo de preguntar a otras personas
letter-cover-taken-back-label = Al final no puedo
letter-cover-taken-settled = si surge algo, di que no puedes ir, lo que puedes hacer hasta que termine el turno, y avisa enseguida a quien cuida las lombricomposteras: queda poco tiempo para buscar a otra persona
letter-cover-closed-subject = Ya no hace falta que vengas: { $date }
letter-cover-closed = ya no tienes que contestar sobre la lombricompostera «{ $bin }» ({ $day }): va otra persona
letter-cover-closed-empty = ya no tienes que contestar sobre la lombricompostera «{ $bin }» ({ $day }): puede pasar sin ese turno
letter-cover-closed-thanks = gracias de todos modos
letter-uncovered-subject = De momento no va nadie: { $date }
letter-uncovered-welcome-subject = Se agradece ayuda: { $date }
letter-uncovered-welcome = todavía queda libre un puesto del turno de la lombricompostera «{ $bin }» ({ $day })
letter-uncovered = de momento nadie ha dicho que sí al turno de la lombricompostera «{ $bin }» ({ $day })
letter-uncovered-back = quien había dicho que sí al turno de la lombricompostera «{ $bin }» ({ $day }) lo devolvió, y de momento no va nadie más
letter-uncovered-unasked = de momento no va nadie al turno de la lombricompostera «{ $bin }» ({ $day }), y no había a quién preguntar por correo
letter-uncovered-must =
    { $reason ->
        [starving] alguien tiene que alimentarla a más tardar { $until }, o el hambre se lleva demasiadas lombrices
       *[drying] alguien tiene que haberla atendido a más tardar { $until }, o su cama empieza a secarse
    }
letter-uncovered-dry = su cama ya está seca: alguien debería ir cuanto antes, sin esperar a ese día
letter-uncovered-can-wait =
    { $reason ->
        [hungry] la lombricompostera puede pasar sin eso, pero algunas lombrices pasarían hambre
        [dry_bed] la lombricompostera puede pasar sin eso, pero su cama está más seca de lo debido
        [rests] la lombricompostera puede pasar sin eso, pero descansa hasta que alguien la mire
        [castings_wait] la lombricompostera puede pasar sin eso; el humus se queda dentro más tiempo
        [around_the_bin] la lombricompostera puede pasar sin eso; alrededor queda sin ordenar
        [others_come] van otras personas, y agradecerían una mano
        [unknown] no se puede decir si la lombricompostera necesita a alguien
       *[can_wait] la lombricompostera sigue bien sin eso, así que no se pierde nada si no va nadie
    }
letter-uncovered-shut = { $site } está cerrado entonces: es una visita acordada
letter-uncovered-days-subject = De momento no va nadie a { $count } turnos de la lombricompostera «{ $bin }»
letter-uncovered-days = de momento no va nadie a { $count } turnos de la lombricompostera «{ $bin }»
letter-uncovered-days-unasked = de momento no va nadie a { $count } turnos de la lombricompostera «{ $bin }», y no había a quién preguntar por correo
letter-uncovered-day = { $day }
letter-uncovered-day-shut = { $day }: una visita, con el lugar cerrado
letter-uncovered-enough = si alguien va el { $date }, la lombricompostera puede pasar sin los demás
letter-uncovered-alone = Si ya no va nadie
letter-uncovered-until = Si no va nadie hasta el { $date }, cuando es seguro que va alguien
letter-uncovered-next =
    { $count ->
        [one] ve tú, da el puesto a alguien o pregunta en persona
       *[other] ve tú, da algún puesto a alguien o pregunta en persona
    }
letter-uncovered-still = a quien se le preguntó por correo todavía puede decir que sí
letter-covered-again-subject = Ya no falta nadie en la lombricompostera «{ $bin }»
letter-covered-again = ya va alguien al turno de la lombricompostera «{ $bin }» ({ $day }) del que te escribimos
letter-covered-again-empty = ya no hace falta que vaya nadie al turno de la lombricompostera «{ $bin }» ({ $day }) del que te escribimos
letter-covered-again-days = los turnos de la lombricompostera «{ $bin }» de los que te escribimos están resueltos
letter-covered-again-day = { $day }: va alguien
letter-covered-again-day-empty = { $day }: no hace falta que vaya nadie
letter-covered-again-done = ya no tienes que hacer nada al respecto
letter-turn-freed-subject = El turno del { $date } sale de tu calendario
letter-turn-freed = dejaste tu turno en la lombricompostera «{ $bin }» ({ $day }), así que no hace falta que vayas, y sale de tu calendario
letter-turns-freed-subject = Tus turnos en { $site } salen de tu calendario
letter-turns-freed = dejaste estos turnos en { $site }, así que no hace falta que vayas, y salen de tu calendario
letter-turn-freed-thanks = gracias por avisar
page-cover-title = El turno del { $date }
page-cover-yes = dices que vas a la lombricompostera «{ $bin }» ({ $day }) en lugar de alguien que no puede
page-cover-yes-free = dices que vas a la lombricompostera «{ $bin }» ({ $day }), adonde de momento no va nadie
page-cover-yes-button = Sí, voy
page-cover-yes-done = gracias: el puesto en la lombricompostera «{ $bin }» ({ $day }) es tuyo
page-cover-yes-how = te llegará un correo con lo que hay que hacer
page-cover-no = dices que no puedes ir a la lombricompostera «{ $bin }» ({ $day })
page-cover-no-button = No puedo
page-cover-no-done = está bien: no se te vuelve a preguntar por la lombricompostera «{ $bin }» ({ $day })
page-cover-no-how = si al final puedes, sigue el enlace del sí en el mismo correo
page-cover-back = devuelves el puesto en la lombricompostera «{ $bin }» ({ $day })
page-cover-back-button = Al final no puedo
page-cover-back-done = devolviste el puesto en la lombricompostera «{ $bin }» ({ $day })
page-cover-back-how = gracias por avisar a tiempo
page-cover-then-covered = va otra persona
page-cover-then-looked-for = se busca a otra persona
page-cover-then-nobody-left = no queda nadie a quien preguntar por correo, así que lo sabrá quien cuida las lombricomposteras
page-cover-then-empty = la lombricompostera puede pasar sin ese turno
page-cover-quicker = otra persona fue más rápida y va a la lombricompostera «{ $bin }» ({ $day })
page-cover-settled = ya no hace falta que nadie vaya a la lombricompostera «{ $bin }» ({ $day })
page-cover-over = es demasiado tarde para el turno de la lombricompostera «{ $bin }» ({ $day })
page-cover-there = ya vas a la lombricompostera «{ $bin }» ({ $day })
page-cover-comes = dijiste que sí, y el puesto en la lombricompostera «{ $bin }» ({ $day }) es tuyo: para devolverlo usa el enlace del correo de agradecimiento
page-cover-not-yours = el puesto en la lombricompostera «{ $bin }» ({ $day }) ya no es tuyo
page-cover-too-late = es demasiado tarde para devolver el puesto en la lombricompostera «{ $bin }» ({ $day }), lo que pudiste hacer hasta { $until }: di en cambio que no puedes ir, y avisa enseguida a { $whom }
page-cover-unexpected = si no es lo que esperabas, pregunta a { $whom }
page-cover-rule =
    { $rule ->
        [weekday] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): ese día de la semana no te sirve
        [absence] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): estás fuera
        [trained] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): no te han enseñado a cuidarla
        [rest] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): otro turno tuyo está demasiado cerca
        [most_in_28_days] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): por esas fechas ya tienes todos los turnos que quieres tener
        [not_alone] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): no va contigo nadie con experiencia
       *[others] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): lo impide una regla de la lista de turnos
    }
page-cannot-come = dices que no puedes ir a la lombricompostera «{ $bin }» ({ $day }); nadie pregunta por qué
page-cannot-come-off = el turno de la lombricompostera «{ $bin }» ({ $day }) se canceló, así que no tienes que hacer nada más
page-cannot-come-button = No puedo ir
page-cannot-come-done = el puesto en la lombricompostera «{ $bin }» ({ $day }) queda libre
page-cannot-come-how = no tienes que hacer nada más
page-cover-thanks = gracias de todos modos
