# The published table of the Moon (ELP/MPP02, Chapront & Francou 2003) as C rows for moon.c.
#
# In: component,power,thirteen multipliers,amplitude,phase; within a component and a power of T the
# amplitudes fall. Out: every term, per component by falling amplitude whatever its power (|T| stays
# near 1 at most over 1900-2100), so that a cut is a prefix; the lengths of those prefixes; and the
# layout of the table of powers e^(i k argument) that the terms' factors index. Factor 0 is 'none'.
BEGIN {
    FS = ","
    cut["lon"] = 0.001; cut["lat"] = 0.001; cut["dist"] = 0.002 # arcsec, arcsec, km
}
FNR > 1 {
    length_of[$1, $2]++
    line[$1, $2, length_of[$1, $2]] = $0
    for (i = 0; i < 13; i++) {
        size = $(3 + i) < 0 ? -$(3 + i) : $(3 + i)
        if (size > most[i])
            most[i] = size
    }
}
function amplitude(component, power,    field) {
    if (!((component, power, head[power]) in line))
        return -1
    split(line[component, power, head[power]], field, ",")
    return field[16] < 0 ? -field[16] : field[16]
}
function put(component, power,    field, i, k, factors) {
    split(line[component, power, head[power]++], field, ",")
    for (i = 0; i < 13; i++)
        if (field[3 + i] != 0)
            factors = factors (factors == "" ? "" : ", ") (centre[i] + field[3 + i])
    printf "    {%.9f, %.9f, %d, {%s}},\n", field[16] * cos(field[17]), field[16] * sin(field[17]), \
        power, factors == "" ? 0 : factors
}
function component_out(component,    power, best, count, kept) {
    for (power = 0; power < 3; power++)
        head[power] = 1
    printf "static const struct moon_term moon_%s[] = {\n", component
    for (;;) {
        best = 0
        for (power = 1; power < 3; power++)
            if (amplitude(component, power) > amplitude(component, best))
                best = power
        if (amplitude(component, best) < 0)
            break
        if (amplitude(component, best) >= cut[component])
            kept++
        count++
        put(component, best)
    }
    printf "};\nenum { MOON_%s_KEPT = %d, MOON_%s_ALL = %d };\n", toupper(component), kept, \
        toupper(component), count
}
END {
    powers = 1
    printf "static const struct moon_powers moon_powers[MOON_ARGUMENTS] = {\n"
    for (i = 0; i < 13; i++) {
        centre[i] = powers + most[i]
        powers += 2 * most[i] + 1
        printf "    {%d, %d},\n", centre[i], most[i]
    }
    printf "};\nenum { MOON_POWERS = %d };\n", powers
    component_out("lon")
    component_out("lat")
    component_out("dist")
}
