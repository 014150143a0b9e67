/*
 * A drive of an invented work boat, watched by orangeloom. The same program runs on a
 * host and as firmware; it prints what the monitors tell. `limits.h` was made by
 * `orangeloom limits fixtures/starter/design.toml --c-header`.
 *
 * It is an example of the calls, not of a controller: a controller measures where this
 * invents, and has a way to open the contactors that needs no program.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "limits.h"
#include "orangeloom.h"

enum {
    TICK_MS = 10,
    /* The places in this image, by the names in the design: see limits.h. */
    CELLS = ORANGELOOM_STRING_CELLS,
    POSITIVE = ORANGELOOM_CONTACTOR_K_PLUS,
    NEGATIVE = ORANGELOOM_CONTACTOR_K_MINUS,
    RELAY = ORANGELOOM_CONTACTOR_KP
};

/* The caller owns all memory. */
static struct OrangeloomMemory memory;
static struct OrangeloomFinding findings[ORANGELOOM_MAX_FINDINGS];

static int failures = 0;

static void expect(const char *what, OrangeloomStatus seen, OrangeloomStatus wanted)
{
    printf("%s: status %d\n", what, (int)seen);
    if (seen != wanted) {
        printf("  expected %d\n", (int)wanted);
        failures++;
    }
}

/* What is refused, and how. */
static void refuse(void)
{
    static unsigned char damaged[ORANGELOOM_LIMITS_LENGTH];
    struct OrangeloomInputs inputs;
    struct OrangeloomSummary summary;
    size_t found = 0;

    orangeloom_inputs_clear(&inputs, sizeof inputs);
    summary.may_close = 1; /* as an earlier tick may have left it */
    expect("tick before prepare",
           orangeloom_tick(&memory, sizeof memory, 0, &inputs, sizeof inputs, findings,
                           ORANGELOOM_MAX_FINDINGS, &found, &summary),
           ORANGELOOM_STATUS_NOT_PREPARED);
    printf("  may close %d, advice %u\n", summary.may_close, (unsigned)summary.advice);
    expect("no memory",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, NULL, sizeof memory,
                                       orangeloom_limits, sizeof orangeloom_limits),
           ORANGELOOM_STATUS_NULL_POINTER);
    expect("too little memory",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, 100,
                                       orangeloom_limits, sizeof orangeloom_limits),
           ORANGELOOM_STATUS_WRONG_SIZE);
    expect("no image",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory, NULL,
                                       0),
           ORANGELOOM_STATUS_NULL_POINTER);
    expect("half an image",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory,
                                       orangeloom_limits, sizeof orangeloom_limits / 2),
           ORANGELOOM_STATUS_IMAGE_LENGTH);
    memcpy(damaged, orangeloom_limits, sizeof damaged);
    damaged[100] ^= 4;
    expect("one bit flipped",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory,
                                       damaged, sizeof damaged),
           ORANGELOOM_STATUS_IMAGE_CHECKSUM);
    expect("clear", orangeloom_inputs_clear(&inputs, sizeof inputs),
           ORANGELOOM_STATUS_OK);
    expect("clear, another size", orangeloom_inputs_clear(&inputs, 3),
           ORANGELOOM_STATUS_WRONG_SIZE);
}

/* Prints what was found, when that changes. */
static void report(uint32_t at_ms, size_t found, const struct OrangeloomSummary *summary)
{
    static uint32_t before = 0;
    uint32_t now = 2166136261u;
    size_t i;

    for (i = 0; i < found; i++) {
        const struct OrangeloomFinding *one = &findings[i];
        if (one->state == ORANGELOOM_STATE_FOUND || one->state == ORANGELOOM_STATE_BLIND) {
            now = (now ^ (one->check * 16u + one->state + one->part * 1024u)) * 16777619u;
        }
    }
    if (now == before) {
        return;
    }
    before = now;
    printf("%5lu ms: may close %d, open now %d, advice %u\n", (unsigned long)at_ms,
           summary->may_close, summary->open_now, (unsigned)summary->advice);
    for (i = 0; i < found; i++) {
        const struct OrangeloomFinding *one = &findings[i];
        if (one->state == ORANGELOOM_STATE_FOUND || one->state == ORANGELOOM_STATE_BLIND) {
            printf("    check %d of part %d, state %d, reset %d, advice %u", one->check,
                   one->part, one->state, one->reset, (unsigned)one->advice);
            if (!isnan(one->measured) && !isnan(one->limit)) {
                printf(", measured %.1f, limit %.1f", (double)one->measured,
                       (double)one->limit);
            }
            printf("\n");
        }
    }
}

static struct OrangeloomSignal fresh(float value)
{
    struct OrangeloomSignal signal;
    signal.value = value;
    signal.age_ms = 0;
    return signal;
}

static struct OrangeloomFlag flag(uint8_t state)
{
    struct OrangeloomFlag flag;
    flag.state = state;
    flag.age_ms = 0;
    return flag;
}

int main(void)
{
    static const struct OrangeloomInputs zero_bytes;
    const float pack = 98.0f, tau_ms = 74.2f;
    struct OrangeloomImage image;
    struct OrangeloomInputs inputs;
    struct OrangeloomSummary summary;
    struct OrangeloomCounters counters;
    uint8_t kept[ORANGELOOM_KEPT_BYTES];
    size_t found = 0, kept_size = 0;
    uint32_t at;
    float link = 0.0f, degc = 0.0f;
    int positive = 0, negative = 0, relay = 0, opened = 0;
    uint32_t negative_at = 0, positive_at = 0;

    refuse();
    expect("image",
           orangeloom_image_check(orangeloom_limits, sizeof orangeloom_limits, &image,
                                  sizeof image),
           ORANGELOOM_STATUS_OK);
    if (image.fingerprint != ORANGELOOM_LIMITS_FINGERPRINT) {
        /* Of another design: the places in limits.h are not those of this image. */
        return 1;
    }
    printf("revision %s, fingerprint %08lx, %d string, %d contactors\n",
           (const char *)image.revision, (unsigned long)image.fingerprint, image.strings,
           image.contactors);
    printf("made although the review does not pass: %s\n", (const char *)image.reason);
    expect("prepare",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory,
                                       orangeloom_limits, sizeof orangeloom_limits),
           ORANGELOOM_STATUS_OK);
    expect("keep before restore",
           orangeloom_keep(&memory, sizeof memory, kept, sizeof kept, &kept_size),
           ORANGELOOM_STATUS_NOT_RESTORED);
    /* This boat is new, and nothing was ever kept. */
    expect("start without store", orangeloom_start_without_store(&memory, sizeof memory),
           ORANGELOOM_STATUS_OK);

    for (at = 0; at < 12000; at += TICK_MS) {
        const int key = at >= 500 && at < 9000;
        const int drives = at >= 2500 && at < 6000;
        float current = 0.0f;

        /* The boat: what flows, and what the link does. */
        if (positive && negative) {
            link = pack;
            current = drives ? 90.0f : 0.0f;
        } else if (relay && negative) {
            current = (pack - link) / 33.0f;
            link += (pack - link) * ((float)TICK_MS / tau_ms);
        } else {
            link -= link * ((float)TICK_MS / 2000.0f);
        }

        /* What the controller measures. From 4 s on a sensor sends no number for 0.1 s. */
        orangeloom_inputs_clear(&inputs, sizeof inputs);
        inputs.string_voltage[CELLS] = fresh(pack);
        inputs.link_voltage = fresh(at >= 4000 && at < 4100 ? NAN : link);
        inputs.current[ORANGELOOM_CURRENT_PACK] = fresh(current);
        inputs.current[ORANGELOOM_CURRENT_CONVERTER] = fresh(0.0f);
        inputs.contactor[POSITIVE].commanded = (uint8_t)positive;
        inputs.contactor[NEGATIVE].commanded = (uint8_t)negative;
        inputs.contactor[RELAY].commanded = (uint8_t)relay;
        inputs.contactor[POSITIVE].contact =
            flag(positive ? ORANGELOOM_FLAG_ON : ORANGELOOM_FLAG_OFF);
        inputs.contactor[NEGATIVE].contact =
            flag(negative ? ORANGELOOM_FLAG_ON : ORANGELOOM_FLAG_OFF);
        inputs.interlock = flag(at >= 8000 ? ORANGELOOM_FLAG_OFF : ORANGELOOM_FLAG_ON);
        inputs.plugged = flag(ORANGELOOM_FLAG_NOT_FITTED);
        inputs.speed = fresh(drives ? 12.0f : 0.0f);
        inputs.supply = fresh(13.2f);
        inputs.start = (uint8_t)key;
        inputs.open = negative && at >= 8100 ? ORANGELOOM_OPEN_SOFTLY : ORANGELOOM_OPEN_NOTHING;

        if (orangeloom_tick(&memory, sizeof memory, at, &inputs, sizeof inputs, findings,
                            ORANGELOOM_MAX_FINDINGS, &found, &summary)
            != ORANGELOOM_STATUS_OK) {
            /* The summary forbids closing then; a controller goes on by it. */
            printf("the tick was refused\n");
            return 1;
        }
        report(at, found, &summary);

        /* What the controller makes of it. */
        if (summary.open_now || (opened == 0 && at >= 8200 && current < 1.0f)) {
            positive = negative = relay = 0;
            opened = 1;
        } else if (key && !negative && !opened && summary.may_close
                   && (summary.hot & (1u << ORANGELOOM_PATH_KP)) == 0) {
            negative = 1;
            negative_at = at;
        } else if (negative && !relay && !positive && at - negative_at >= 150) {
            relay = 1;
        } else if (relay && !positive && summary.may_close
                   && (summary.held & (1u << CELLS)) == 0) {
            positive = 1;
            positive_at = at;
            printf("%5lu ms: the positive contactor is closed\n", (unsigned long)at);
        } else if (relay && positive && at - positive_at >= 150) {
            relay = 0;
        }
    }

    expect("unknown value", (inputs.open = 9, orangeloom_tick(&memory, sizeof memory, at, &inputs,
                                                              sizeof inputs, NULL, 0, &found,
                                                              &summary)),
           ORANGELOOM_STATUS_UNKNOWN_VALUE);
    expect("inputs of zero bytes",
           orangeloom_tick(&memory, sizeof memory, at, &zero_bytes, sizeof zero_bytes, NULL, 0,
                           &found, &summary),
           ORANGELOOM_STATUS_INPUTS_NOT_CLEARED);
    inputs.open = ORANGELOOM_OPEN_NOTHING;
    inputs.supply = fresh(NAN);
    expect("no room for findings",
           orangeloom_tick(&memory, sizeof memory, at, &inputs, sizeof inputs, NULL, 0, &found,
                           &summary),
           ORANGELOOM_STATUS_MORE_FINDINGS);
    expect("no such check", orangeloom_acknowledge(&memory, sizeof memory, 200, 0),
           ORANGELOOM_STATUS_UNKNOWN_VALUE);
    expect("counters", orangeloom_counters(&memory, sizeof memory, &counters, sizeof counters),
           ORANGELOOM_STATUS_OK);
    printf("openings under load: %d\n", counters.openings[POSITIVE][0]);
    expect("conductor",
           orangeloom_conductor_temperature(&memory, sizeof memory, ORANGELOOM_CONDUCTOR_01_PLUS,
                                            &degc),
           ORANGELOOM_STATUS_OK);
    printf("conductor 01+: %.1f degC\n", (double)degc);
    expect("keep", orangeloom_keep(&memory, sizeof memory, kept, sizeof kept, &kept_size),
           ORANGELOOM_STATUS_OK);
    expect("restore while it runs", orangeloom_restore(&memory, sizeof memory, kept, kept_size),
           ORANGELOOM_STATUS_TOO_LATE);

    /* The controller starts again. */
    memset(&memory, 0, sizeof memory);
    expect("prepare again",
           orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory,
                                       orangeloom_limits, sizeof orangeloom_limits),
           ORANGELOOM_STATUS_OK);
    kept[10] ^= 1;
    expect("restore, one bit flipped",
           orangeloom_restore(&memory, sizeof memory, kept, kept_size),
           ORANGELOOM_STATUS_KEPT_DAMAGED);
    /* Another copy, if there is one. Until then every tick forbids closing. */
    kept[10] ^= 1;
    expect("restore", orangeloom_restore(&memory, sizeof memory, kept, kept_size),
           ORANGELOOM_STATUS_OK);
    printf(failures ? "%d surprises\n" : "as expected\n", failures);
    return failures != 0;
}
