#include <moonstand/eclipse.h>
#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <string.h>

const char *eclipse_kind_name(enum eclipse_kind kind)
{
    static const char *const names[] = {[ECLIPSE_PENUMBRAL] = "penumbral",
                                        [ECLIPSE_PARTIAL] = "partial",
                                        [ECLIPSE_TOTAL] = "total"};

    return names[kind];
}

const char *contact_name(enum contact contact)
{
    static const char *const names[CONTACT_COUNT] = {
        [CONTACT_P1] = "P1", [CONTACT_U1] = "U1",
        [CONTACT_U2] = "U2", [CONTACT_GREATEST] = "greatest",
        [CONTACT_U3] = "U3", [CONTACT_U4] = "U4",
        [CONTACT_P4] = "P4",
    };

    return names[contact];
}

const char *phase_name(enum phase phase)
{
    static const char *const names[] = {[PHASE_NONE] = "none",
                                        [PHASE_PENUMBRAL] = "penumbral",
                                        [PHASE_PARTIAL] = "partial",
                                        [PHASE_TOTAL] = "total"};

    return names[phase];
}

enum phase eclipse_phase(const struct eclipse *eclipse, double tt)
{
    const double *at = eclipse->tt;

    /* Comparisons with a missing contact, NaN, are false. */
    if (tt >= at[CONTACT_U2] && tt < at[CONTACT_U3])
        return PHASE_TOTAL;
    if (tt >= at[CONTACT_U1] && tt < at[CONTACT_U4])
        return PHASE_PARTIAL;
    if (tt >= at[CONTACT_P1] && tt < at[CONTACT_P4])
        return PHASE_PENUMBRAL;
    return PHASE_NONE;
}

int contact_offset_parse(const char *text, struct contact_offset *offset, struct fault *fault)
{
    size_t length = strcspn(text, "+-");

    for (int i = 0; i < CONTACT_COUNT; i++) {
        const char *name = contact_name((enum contact)i);

        if (strlen(name) != length || memcmp(name, text, length) != 0)
            continue;
        if (parse_offset(text + length, &offset->offset_s, fault) != 0)
            return -1;
        offset->contact = (enum contact)i;
        return 0;
    }
    return fault_set(fault,
                     "'%.40s' is not an instant of an eclipse; write P1, U1, U2, greatest, U3, U4 "
                     "or P4, then + or - and a span, as in U1-30m",
                     text);
}

double contact_offset_tt(const struct contact_offset *offset, const struct eclipse *eclipse)
{
    double tt = eclipse->tt[offset->contact];

    if (eclipse->kind == ECLIPSE_PARTIAL &&
        (offset->contact == CONTACT_U2 || offset->contact == CONTACT_U3))
        tt = eclipse->tt[CONTACT_GREATEST];
    return tt + offset->offset_s;
}
