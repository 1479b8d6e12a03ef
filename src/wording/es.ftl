### Frases sobre lo que admite una lombricompostera, en español.
###
### Casi todos los mensajes son partes de una frase y empiezan con minúscula; el programa
### pone la mayúscula y el punto final. Las mismas partes sirven para páginas, cartas y API.
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
checked-found = gracias, hay unos { $found } que nadie había apuntado y { $state }
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

## Lo que logra un cuadrante de turnos. Primero cuentan los puestos vacíos, luego los cambios, la equidad y los deseos.

rota-empty-none = todos los puestos tienen a alguien
rota-empty-least =
    { $count ->
        [one] queda 1 puesto vacío, y ningún cuadrante de turnos deja menos
       *[other] quedan { $count } puestos vacíos, y ningún cuadrante de turnos deja menos
    }
rota-empty-maybe =
    { $count ->
        [one] queda 1 puesto vacío, y no se pudo demostrar que sea inevitable
       *[other] quedan { $count } puestos vacíos; está demostrado que al menos { $bound } son inevitables
    }
rota-changes-none = no cambia el puesto de nadie
rota-changes-least =
    { $count ->
        [one] cambia 1 puesto, y ningún cuadrante de turnos cambia menos
       *[other] los puestos que se dejan y los que se toman suman { $count }, y ningún cuadrante de turnos cambia menos
    }
rota-changes-maybe = los puestos que se dejan y los que se toman suman { $count }; está demostrado que hacen falta al menos { $bound }
rota-fair-exactly = cada cual tiene exactamente la parte que le toca
rota-fair-proven = no existe un cuadrante de turnos más justo que deje tan pocos puestos vacíos y cambie tan poco
rota-fair-within = las distancias a la parte que toca, tomadas juntas como la raíz de la suma de sus cuadrados, son como mucho un { $percent } mayores que en el cuadrante de turnos más justo que deje tan pocos puestos vacíos y cambie tan poco
rota-fair-unknown = no se pudo demostrar cuánto falta para el cuadrante de turnos más justo
rota-wishes-most = los deseos cumplidos menos los no respetados son { $count }, y ningún cuadrante de turnos llega a más sin empeorar lo demás
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
        [0] ningún turno pide aquí esfuerzo, y tras los cuadrantes de turnos anteriores lo justo sería nada
        [one] 1 turno pide aquí un esfuerzo de { $effort }, y tras los cuadrantes de turnos anteriores lo justo sería nada
       *[other] { $count } turnos piden aquí un esfuerzo de { $effort }, y tras los cuadrantes de turnos anteriores lo justo sería nada
    }
rota-brought-more = los cuadrantes de turnos anteriores pidieron { $count } más de lo justo, y eso cuenta aquí
rota-brought-less = los cuadrantes de turnos anteriores pidieron { $count } menos de lo justo, y eso cuenta aquí
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
rota-because-balance = { $step } por cuadrantes de turnos anteriores
rota-because-fair = { $step } porque es lo justo
rota-because-rest = { $step } por límites, deseos y lo que no se reparte exactamente
rota-step-more = { $effort } más
rota-step-less = { $effort } menos

## Cartas. Los asuntos van solos: con mayúscula y sin punto final.

letter-greeting = hola, { $name }
letter-greeting-nameless = hola
letter-invitation-subject = Invitación a las lombricomposteras de { $site }
letter-invitation = te invitan a las lombricomposteras compartidas de { $site }
letter-invitation-how = para aceptar, envía esta petición con la contraseña que elijas en lugar de los puntos (quita esa parte si ya tienes cuenta aquí o prefieres entrar con enlaces) o da el código «token» que contiene al programa que usas para las lombricomposteras
letter-reset-subject = Una contraseña nueva para las lombricomposteras
letter-reset = alguien, seguramente tú, pidió una contraseña nueva para las lombricomposteras
letter-reset-how = para ponerla, envía esta petición con la contraseña que elijas en lugar de los puntos
letter-signin-subject = Entrar en las lombricomposteras
letter-signin = alguien, seguramente tú, pidió entrar en las lombricomposteras sin contraseña
letter-signin-how = para entrar, envía esta petición o da el código «token» que contiene al programa que usas para las lombricomposteras
letter-until = sirve una sola vez, hasta el { $date } a las { $time } ({ $zone })
letter-secret = quien tenga el código puede usarlo, así que no se lo des a nadie
letter-invitation-unexpected = si no lo quieres, el enlace caduca solo; tu nombre y tu dirección los guarda quien cuida las lombricomposteras de { $site } hasta que le pidas que los borre
letter-shrunk-subject = Menos sitio para lo que reservaste en la lombricompostera «{ $bin }»
letter-shrunk = en la lombricompostera «{ $bin }» hay más de lo que se sabía cuando reservaste sitio para { $promised } el { $date }: ahora admite { $kept } de eso
letter-shrunk-how = no lleves más que eso, y guarda el resto en el congelador o échalo a los residuos orgánicos
letter-shrunk-to-nothing = en la lombricompostera «{ $bin }» hay más de lo que se sabía cuando reservaste sitio para { $promised } el { $date }: ahora no admite nada de eso
letter-shrunk-to-nothing-how = no lleves nada ese día, y guarda tus restos en el congelador o échalos a los residuos orgánicos
letter-unexpected = si no esperabas esta carta, no hagas nada: sin esa petición no pasa nada

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
sheet-do-honest = si se echó demasiado o algo que no debía, anótalo también: nadie se enfada
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
sheet-how = escribe el código { $code } donde Wormrota pregunta cómo te apuntas, con tu nombre y el número de tu vivienda, si lo hay
sheet-then = después, alguien que cuida las lombricomposteras te da entrada
slip-what = con este papel entras en { $site }, una sola vez
slip-what-for = con este papel { $name } entra en { $site }, una sola vez
slip-how = escribe el código { $code } donde Wormrota pregunta cómo entras
slip-care = quien lo tenga puede entrar en tu lugar, así que no lo enseñes a nadie
lid-what = esta es la lombricompostera { $bin } de { $site }
lid-how = para ver qué admite hoy, escribe el código { $code } donde Wormrota pide el código de una tapa
code-until = el código vale hasta el { $date }

## Páginas tras los enlaces de las cartas. Los títulos y los botones van solos.

page-over-title = Este enlace ya no hace nada
page-over = se usó, se acabó su plazo o el asunto ya está resuelto
page-over-how = si aún queda algo por decir, pregunta a quien cuida las lombricomposteras
page-trouble-title = No ha funcionado
page-trouble = ahora mismo hay un obstáculo, así que no se ha cambiado nada; vuelve a abrir el enlace dentro de unos minutos
page-stop-title = Menos cartas
page-stop =
    { $group ->
        [reminders] no recibirás más cartas que te recuerden tus turnos
        [questions] no se te preguntará más si se alimentó una lombricompostera
        [changes] no se te avisará más cuando cambie algo de tus turnos
        [calls] no se te pedirá más que tomes el turno de alguien que está fuera
        [keeping] no se te avisará más de lo que hay que cuidar en las lombricomposteras
       *[digest] no recibirás más cartas con el resumen de la semana
    }
page-stop-others = todas las demás cartas siguen
page-stop-button = Sí, terminar estas cartas
page-stopped =
    { $group ->
        [reminders] desde ahora no recibes cartas que te recuerden tus turnos
        [questions] desde ahora no se te pregunta si se alimentó una lombricompostera
        [changes] desde ahora no se te avisa cuando cambia algo de tus turnos
        [calls] desde ahora no se te pide que tomes el turno de alguien que está fuera
        [keeping] desde ahora no se te avisa de lo que hay que cuidar en las lombricomposteras
       *[digest] desde ahora no recibes cartas con el resumen de la semana
    }
page-stopped-how = para volver a recibirlas, pregunta a quien cuida las lombricomposteras

## Suplencias: quién va en lugar de quien no puede. $day es una fecha, quizá con horas.

cover-day = { $date }
cover-day-hours = { $date }, entre las { $from } y las { $to }
cover-need-unknown = todavía no se puede decir si la lombricompostera «{ $bin }» necesita este turno: se sabrá cuatro semanas antes, cuando vivan lombrices en ella
cover-needed =
    { $reason ->
        [starving] la lombricompostera «{ $bin }» necesita este turno: sin él el hambre se lleva demasiadas lombrices, así que alguien tiene que ir a más tardar el { $date } a las { $time }
       *[drying] la lombricompostera «{ $bin }» necesita este turno: su cama empieza a secarse antes de que sea seguro que vaya otra persona, así que alguien tiene que ir a más tardar el { $date } a las { $time }
    }
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
        [takes_nothing] la lombricompostera «{ $bin }» no admite comida ese día, así que el lugar puede quedar vacío
        [no_worms] en la lombricompostera «{ $bin }» apenas viven lombrices, así que el lugar puede quedar vacío
        [others_come] van bastantes personas a este turno de la lombricompostera «{ $bin }», así que el lugar puede quedar vacío
       *[can_wait] la lombricompostera «{ $bin }» puede esperar hasta que vaya otra persona, así que el lugar puede quedar vacío
    }
cover-alone =
    { $state ->
        [well] el { $date } las lombrices siguen bien
        [hungry] el { $date } las lombrices pasan hambre; quedan { $percent } de cada 100
        [drying] el { $date } la cama está demasiado seca; quedan { $percent } de cada 100 lombrices
       *[both] el { $date } la cama está demasiado seca y las lombrices pasan hambre; quedan { $percent } de cada 100
    }
letter-call-subject = ¿Puedes venir? { $date }
letter-call =
    { $duty ->
        [feeding] la persona que iba a alimentar la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si podrías hacerlo tú
        [watering] la persona que iba a regar la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si podrías hacerlo tú
        [looking] la persona que iba a mirar la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si podrías hacerlo tú
        [harvest] la persona que iba a sacar humus de la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si podrías hacerlo tú
       *[tidying] la persona que iba a ordenar alrededor de la lombricompostera «{ $bin }» ({ $day }) no puede: di, por favor, si podrías hacerlo tú
    }
letter-call-counts =
    { $effort ->
        [one] cuenta como un turno tuyo en la próxima planificación
       *[other] cuenta como { $effort } turnos tuyos en la próxima planificación
    }
letter-cover-bring =
    { $duty ->
        [feeding] trae restos de cocina cortados en trozos pequeños, hasta donde la lombricompostera los admita, y cúbrelos con material de cama; si la cama está caliente, no eches nada y avisa
        [watering] trae agua y échala poco a poco: la cama tiene que quedar húmeda como una esponja escurrida
        [looking] mira debajo de la tapa y del material de cama, y di lo que ves; si la cama está caliente, no eches nada y avisa
        [harvest] trae un cubo para el humus; el líquido de la lombricompostera no va sobre nada que se coma
       *[tidying] barre alrededor de la lombricompostera y mira que la tapa esté cerrada
    }
letter-cover-care = ponte guantes y lávate las manos después
letter-call-by = contesta, por favor, a más tardar el { $date } a las { $time }; un sí posterior también vale mientras nadie más lo haya dicho
letter-call-yes = Sí, voy
letter-call-no = No puedo
letter-call-others = también se preguntó a otras personas, y el primer sí se queda con el lugar; un no está bien, nadie pregunta por qué, y no se te vuelve a preguntar por este turno
letter-cover-found-subject = Alguien va en tu lugar: { $date }
letter-cover-found = { $name } va en tu lugar a la lombricompostera «{ $bin }» ({ $day })
letter-cover-found-nameless = alguien de la casa va en tu lugar a la lombricompostera «{ $bin }» ({ $day })
letter-cover-found-how = no tienes que hacer nada más
letter-cover-taken-subject = Gracias, el turno es tuyo: { $date }
letter-cover-taken = gracias por ir a la lombricompostera «{ $bin }» ({ $day }) en lugar de alguien que no puede
letter-cover-taken-title = Lombricompostera «{ $bin }»
letter-cover-taken-back = si surge algo, devuelve el lugar a más tardar el { $date } a las { $time }, para que haya tiempo de preguntar a otras personas
letter-cover-taken-back-label = Al final no puedo
letter-cover-taken-settled = si surge algo, avisa enseguida a quien cuida las lombricomposteras: queda poco tiempo para encontrar a otra persona
letter-cover-closed-subject = Ya no hace falta que vengas: { $date }
letter-cover-closed = ya no tienes que contestar sobre la lombricompostera «{ $bin }» ({ $day }): va otra persona, o no hace falta
letter-cover-closed-thanks = gracias por estar ahí para preguntarte
letter-uncovered-subject = De momento no va nadie: { $date }
letter-uncovered = de momento nadie ha dicho que sí al turno de la lombricompostera «{ $bin }» ({ $day })
letter-uncovered-must =
    { $reason ->
        [starving] alguien tiene que alimentarla a más tardar el { $date } a las { $time }, o el hambre se lleva demasiadas lombrices
       *[drying] alguien tiene que haberla atendido a más tardar el { $date } a las { $time }, o su cama empieza a secarse
    }
letter-uncovered-can-wait = por lo que se sabe puede pasar sin él, así que no se pierde nada si el lugar queda vacío
letter-uncovered-alone = Si ya no va nadie
letter-uncovered-next = ve tú, da el lugar a alguien o pregunta en persona; a quien se le preguntó por carta todavía puede decir que sí
page-cover-title = El turno del { $date }
page-cover-yes = dices que vas a la lombricompostera «{ $bin }» ({ $day }) en lugar de alguien que no puede
page-cover-yes-button = Sí, voy
page-cover-yes-done = gracias: el lugar en la lombricompostera «{ $bin }» ({ $day }) es tuyo
page-cover-yes-how = te llegará una carta con lo que hay que hacer
page-cover-no = dices que no puedes ir a la lombricompostera «{ $bin }» ({ $day })
page-cover-no-button = No puedo
page-cover-no-done = está bien: no se te vuelve a preguntar por la lombricompostera «{ $bin }» ({ $day })
page-cover-no-how = si al final puedes, sigue el enlace del sí en la misma carta
page-cover-back = devuelves el lugar en la lombricompostera «{ $bin }» ({ $day }); entonces se pregunta a otra persona
page-cover-back-button = Al final no puedo
page-cover-back-done = el lugar en la lombricompostera «{ $bin }» ({ $day }) vuelve a estar libre, y se pregunta a otra persona
page-cover-back-how = gracias por avisar a tiempo
page-cover-quicker = otra persona fue más rápida y va a la lombricompostera «{ $bin }» ({ $day })
page-cover-settled = ya no hace falta que nadie vaya a la lombricompostera «{ $bin }» ({ $day })
page-cover-over = es demasiado tarde para el turno de la lombricompostera «{ $bin }» ({ $day })
page-cover-there = ya vas a la lombricompostera «{ $bin }» ({ $day })
page-cover-comes = dijiste que sí, y el lugar en la lombricompostera «{ $bin }» ({ $day }) es tuyo: para devolverlo usa el enlace de la carta de agradecimiento
page-cover-not-yours = el lugar en la lombricompostera «{ $bin }» ({ $day }) ya no es tuyo
page-cover-too-late = es demasiado tarde para encontrar a otra persona para la lombricompostera «{ $bin }» ({ $day }): avisa enseguida a quien cuida las lombricomposteras
page-cover-rule =
    { $rule ->
        [weekday] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): ese día de la semana no te va
        [absence] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): estás fuera
        [trained] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): no te han enseñado a cuidarla
        [rest] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): otro turno tuyo está demasiado cerca
        [most_in_28_days] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): ya tienes por esas fechas tantos turnos como quieres como mucho
        [not_alone] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): no va contigo nadie con experiencia
       *[others] no puedes tener el turno de la lombricompostera «{ $bin }» ({ $day }): lo impide una regla de la planificación
    }
page-cannot-come = dices que no puedes ir a la lombricompostera «{ $bin }» ({ $day }); nadie pregunta por qué
page-cannot-come-button = No puedo ir
page-cannot-come-done = el lugar en la lombricompostera «{ $bin }» ({ $day }) queda libre, y se pregunta a otra persona si hace falta
page-cannot-come-how = no tienes que hacer nada más
page-cover-thanks = gracias de todos modos
