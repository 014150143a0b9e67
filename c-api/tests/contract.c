/*
 * What the header promises of every function, held against the library: what is refused,
 * how, and that nothing is written then. Runs on a host, there under sanitizers too, and as
 * firmware. Prints each promise that is broken, and how many were looked at.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "limits.h"
#include "orangeloom.h"

/* Twice: the guards of the headers. */
#include "limits.h"
#include "orangeloom.h"

enum {
    /* Words of the mark before what is prepared: c-api/src/memory.rs. */
    MARK_WORDS = 5,
    NO_CHECK = 200,
    CONTACTORS = 3,
    CURRENTS = 2,
    CONDUCTORS = 2
};

/* As aligned as anything that is pointed into it. */
static union {
    struct OrangeloomMemory memory;
    size_t aligns;
} vehicle;
#define memory vehicle.memory
static struct OrangeloomMemory before;
static struct OrangeloomFinding findings[ORANGELOOM_MAX_FINDINGS];
static struct OrangeloomInputs inputs;
static struct OrangeloomSummary summary;
static struct OrangeloomImage facts;
static struct OrangeloomCounters counters;
static size_t found, kept_size;
static uint8_t kept[ORANGELOOM_KEPT_BYTES];
static float degc;

/* Room with bytes around it, to point where a type may not begin. */
static union {
    size_t aligns;
    unsigned char bytes[sizeof(struct OrangeloomMemory) + 304];
} room, room_before;

static unsigned looked_at = 0, broken = 0;

static void expect_at(int line, const char *what, int holds)
{
    looked_at++;
    if (!holds) {
        printf("line %d: broken: %s\n", line, what);
        broken++;
    }
}

#define EXPECT(holds) expect_at(__LINE__, #holds, (holds))
#define REFUSED(call, with) EXPECT((call) == ORANGELOOM_STATUS_##with)

static OrangeloomStatus prepare(void)
{
    return orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory,
                                       orangeloom_limits, sizeof orangeloom_limits);
}

static OrangeloomStatus tick(uint32_t now_ms)
{
    return orangeloom_tick(&memory, sizeof memory, now_ms, &inputs, sizeof inputs, findings,
                           ORANGELOOM_MAX_FINDINGS, &found, &summary);
}

/* Prepared, with nothing to restore. */
static OrangeloomStatus start(void)
{
    const OrangeloomStatus status = prepare();

    return status != ORANGELOOM_STATUS_OK
               ? status
               : orangeloom_start_without_store(&memory, sizeof memory);
}

static void measure(struct OrangeloomSignal *signal, float value)
{
    signal->value = value;
    signal->age_ms = 0;
}

static void see(struct OrangeloomFlag *flag, uint8_t state)
{
    flag->state = state;
    flag->age_ms = 0;
}

/* What there is to see of the boat while it is parked. */
static void park(void)
{
    measure(&inputs.string_voltage[ORANGELOOM_STRING_CELLS], 98.0f);
    measure(&inputs.link_voltage, 0.0f);
    measure(&inputs.current[ORANGELOOM_CURRENT_PACK], 0.0f);
    measure(&inputs.current[ORANGELOOM_CURRENT_CONVERTER], 0.0f);
    see(&inputs.contactor[ORANGELOOM_CONTACTOR_K_PLUS].contact, ORANGELOOM_FLAG_OFF);
    see(&inputs.contactor[ORANGELOOM_CONTACTOR_K_MINUS].contact, ORANGELOOM_FLAG_OFF);
    see(&inputs.interlock, ORANGELOOM_FLAG_ON);
    see(&inputs.plugged, ORANGELOOM_FLAG_NOT_FITTED);
    measure(&inputs.speed, 0.0f);
    measure(&inputs.supply, 13.2f);
}

/* Two seconds with these inputs: in how many ticks something may be closed. */
static unsigned may_close(void)
{
    static uint32_t clock_ms = 0;
    unsigned ticks, permitted = 0;

    for (ticks = 0; ticks < 200; ticks++) {
        clock_ms += 10;
        if (tick(clock_ms) == ORANGELOOM_STATUS_OK && summary.may_close) {
            permitted++;
        }
    }
    return permitted;
}

/* The same while everything is parked. */
static unsigned parked_may_close(void)
{
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    park();
    return may_close();
}

static void *at(size_t offset)
{
    return room.bytes + offset;
}

/* A sum of a tick in which everything was right, as a caller might still have it. */
static void pretend(void)
{
    memset(&summary, 0, sizeof summary);
    summary.may_close = 1;
    summary.derate = 1.0f;
    found = 77;
    memcpy(&before, &memory, sizeof before);
    memset(&room, 0x5a, sizeof room);
    memcpy(&room_before, &room, sizeof room);
}

static int forbids(void)
{
    return summary.may_close == 0 && summary.open_now == 0 && summary.held == 0xff
           && summary.hot == 0xff && summary.blind == 0xff && summary.found == 0
           && summary.derate <= 0.5f && found == 0
           && (summary.advice & ORANGELOOM_ADVICE_FORBID_CLOSING) != 0
           && (summary.advice & ORANGELOOM_ADVICE_FORBID_MAIN) != 0
           && (summary.advice & ORANGELOOM_ADVICE_FORBID_PRECHARGE) != 0
           && (summary.advice & ORANGELOOM_ADVICE_STOP_CHARGING) != 0
           && (summary.advice & ORANGELOOM_ADVICE_DERATE) != 0
           && (summary.advice & ORANGELOOM_ADVICE_WARN) != 0;
}

static int untouched(void)
{
    return memcmp(&before, &memory, sizeof memory) == 0
           && memcmp(&room, &room_before, sizeof room) == 0;
}

/* Every function on memory that is null, misaligned, too little, or not prepared. */
static void memory_of_no_use(void)
{
    static const struct {
        int null;
        size_t offset, size;
        OrangeloomStatus status;
    } bad[] = {
        {1, 0, sizeof memory, ORANGELOOM_STATUS_NULL_POINTER},
        {0, 1, sizeof memory, ORANGELOOM_STATUS_NOT_ALIGNED},
        {0, 2, sizeof memory, ORANGELOOM_STATUS_NOT_ALIGNED},
        {0, 0, 0, ORANGELOOM_STATUS_WRONG_SIZE},
        {0, 0, sizeof memory - 1, ORANGELOOM_STATUS_WRONG_SIZE},
        {0, 0, sizeof memory, ORANGELOOM_STATUS_NOT_PREPARED},
        {0, 0, SIZE_MAX, ORANGELOOM_STATUS_NOT_PREPARED},
    };
    size_t i;

    orangeloom_inputs_clear(&inputs, sizeof inputs);
    for (i = 0; i < sizeof bad / sizeof *bad; i++) {
        const size_t size = bad[i].size;
        struct OrangeloomMemory *it;

        pretend();
        it = bad[i].null ? NULL : at(bad[i].offset);
        EXPECT(orangeloom_tick(it, size, 0, &inputs, sizeof inputs, findings,
                               ORANGELOOM_MAX_FINDINGS, &found, &summary)
               == bad[i].status);
        EXPECT(forbids());
        EXPECT(orangeloom_acknowledge(it, size, 0, 0) == bad[i].status);
        EXPECT(orangeloom_keep(it, size, kept, sizeof kept, &kept_size) == bad[i].status);
        EXPECT(orangeloom_restore(it, size, kept, sizeof kept) == bad[i].status);
        EXPECT(orangeloom_start_without_store(it, size) == bad[i].status);
        EXPECT(orangeloom_counters(it, size, &counters, sizeof counters) == bad[i].status);
        EXPECT(orangeloom_contactor_replaced(it, size, 0) == bad[i].status);
        EXPECT(orangeloom_fuse_replaced(it, size, 0) == bad[i].status);
        EXPECT(orangeloom_conductor_temperature(it, size, 0, &degc) == bad[i].status);
        if (bad[i].status != ORANGELOOM_STATUS_NOT_PREPARED) {
            EXPECT(orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, it, size,
                                               orangeloom_limits, sizeof orangeloom_limits)
                   == bad[i].status);
        }
        EXPECT(untouched());
    }
}

/* Memory that another build of the library prepared: every word of the mark counts. */
static void memory_of_another_build(void)
{
    unsigned word, bit;

    for (word = 0; word < MARK_WORDS; word++) {
        for (bit = 0; bit < 32; bit++) {
            EXPECT(prepare() == ORANGELOOM_STATUS_OK);
            memory.words[word] ^= (uint32_t)1 << bit;
            pretend();
            REFUSED(tick(0), NOT_PREPARED);
            EXPECT(forbids() && untouched());
            REFUSED(orangeloom_counters(&memory, sizeof memory, &counters, sizeof counters),
                    NOT_PREPARED);
        }
    }
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    memset(&memory, 0xff, sizeof memory);
    REFUSED(tick(0), NOT_PREPARED);
    memset(&memory, 0, sizeof memory);
    REFUSED(tick(0), NOT_PREPARED);
}

/* A function that is called from an interrupt while another works on the same memory: the
   byte behind the mark says so. */
static void memory_at_work(void)
{
    unsigned char *const busy = (unsigned char *)&memory.words[MARK_WORDS];

    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    EXPECT(*busy == 0);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    REFUSED(tick(0), OK);
    EXPECT(*busy == 0);
    *busy = 1;
    pretend();
    memset(&counters, 0x33, sizeof counters);
    REFUSED(tick(10), BUSY);
    EXPECT(forbids());
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, 0, 0), BUSY);
    REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), ORANGELOOM_KEPT_BYTES, &kept_size),
            BUSY);
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, sizeof kept), BUSY);
    REFUSED(orangeloom_start_without_store(&memory, sizeof memory), BUSY);
    REFUSED(orangeloom_counters(&memory, sizeof memory, &counters, sizeof counters), BUSY);
    EXPECT(counters.openings[0][0] == 0x3333);
    REFUSED(orangeloom_contactor_replaced(&memory, sizeof memory, 0), BUSY);
    REFUSED(orangeloom_fuse_replaced(&memory, sizeof memory, 0), BUSY);
    REFUSED(orangeloom_conductor_temperature(&memory, sizeof memory, 0, &degc), BUSY);
    EXPECT(untouched());
    *busy = 0;
    REFUSED(tick(20), OK);
    /* Whatever was going on before a restart that cleared no memory. */
    *busy = 1;
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    REFUSED(tick(0), OK);
    EXPECT(*busy == 0);
}

static void images(void)
{
    static unsigned char bad[ORANGELOOM_LIMITS_LENGTH + 1];

#define PREPARE_WITH(bytes, size)                                                            \
    orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory, bytes, \
                                size)
#define REFUSED_IMAGE(size, with)                                                     \
    do {                                                                              \
        EXPECT(prepare() == ORANGELOOM_STATUS_OK);                                    \
        REFUSED(PREPARE_WITH(bad, size), with);                                       \
        pretend();                                                                    \
        REFUSED(tick(0), NOT_PREPARED);                                               \
        memset(&facts, 0x33, sizeof facts);                                           \
        REFUSED(orangeloom_image_check(bad, size, &facts, sizeof facts), with);       \
        EXPECT(facts.fingerprint == 0x33333333u && facts.conductors == 0x33);         \
        REFUSED(orangeloom_image_check(bad, size, NULL, 0), with);                    \
        memcpy(bad, orangeloom_limits, sizeof orangeloom_limits);                     \
    } while (0)

    memcpy(bad, orangeloom_limits, sizeof orangeloom_limits);
    REFUSED_IMAGE(0, IMAGE_MAGIC);
    REFUSED_IMAGE(3, IMAGE_MAGIC);
    REFUSED_IMAGE(5, IMAGE_VERSION);
    REFUSED_IMAGE(6, IMAGE_LENGTH);
    REFUSED_IMAGE(sizeof orangeloom_limits - 1, IMAGE_LENGTH);
    REFUSED_IMAGE(sizeof orangeloom_limits + 1, IMAGE_LENGTH);
    /* No byte beyond the longest image is looked at. */
    REFUSED_IMAGE(SIZE_MAX / 2 - 4096, IMAGE_LENGTH);
    bad[0] ^= 1;
    REFUSED_IMAGE(sizeof orangeloom_limits, IMAGE_MAGIC);
    /* Of a newer program: its version is told before its checksum, which may be another. */
    bad[4]++;
    REFUSED_IMAGE(sizeof orangeloom_limits, IMAGE_VERSION);
    bad[5]++;
    REFUSED_IMAGE(sizeof orangeloom_limits, IMAGE_VERSION);
    bad[100] ^= 4;
    REFUSED_IMAGE(sizeof orangeloom_limits, IMAGE_CHECKSUM);
    EXPECT(orangeloom_image_version() == (uint32_t)(bad[4] | bad[5] << 8));

    REFUSED(PREPARE_WITH(NULL, 0), NULL_POINTER);
    REFUSED(PREPARE_WITH(NULL, sizeof orangeloom_limits), NULL_POINTER);
    REFUSED(PREPARE_WITH(bad, SIZE_MAX), IMAGE_LENGTH);
    REFUSED(PREPARE_WITH((const uint8_t *)&memory.words[8], 64), OVERLAP);
    REFUSED(orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION + 1, &memory,
                                        sizeof memory, orangeloom_limits,
                                        sizeof orangeloom_limits),
            OTHER_INTERFACE);
    REFUSED(orangeloom_monitors_prepare(1, &memory, sizeof memory, orangeloom_limits,
                                        sizeof orangeloom_limits),
            OTHER_INTERFACE);
    REFUSED(tick(0), NOT_PREPARED);

    pretend();
    REFUSED(orangeloom_image_check(orangeloom_limits, sizeof orangeloom_limits, at(0), 3),
            WRONG_SIZE);
    REFUSED(orangeloom_image_check(orangeloom_limits, sizeof orangeloom_limits, at(1),
                                   sizeof facts),
            NOT_ALIGNED);
    REFUSED(orangeloom_image_check(at(0), 700, at(4), sizeof facts), OVERLAP);
    EXPECT(untouched());
    /* An image may lie anywhere. */
    memcpy(at(3), orangeloom_limits, sizeof orangeloom_limits);
    REFUSED(orangeloom_image_check(at(3), sizeof orangeloom_limits, &facts, sizeof facts), OK);
    EXPECT(facts.contactors == CONTACTORS && facts.currents == CURRENTS);
    EXPECT(facts.conductors == CONDUCTORS && facts.strings == 1);
    EXPECT(strcmp((const char *)facts.revision, "A") == 0);
    EXPECT(facts.fingerprint == ORANGELOOM_LIMITS_FINGERPRINT);
}

/* Each refusal of a tick leaves a sum that forbids, wherever that can be written. */
static void ticks(void)
{
#define TICK(in, in_size, list, room_for, count, sum) \
    orangeloom_tick(&memory, sizeof memory, 10, in, in_size, list, room_for, count, sum)
#define TICK_REFUSED(call, with)          \
    do {                                  \
        pretend();                        \
        REFUSED(call, with);              \
        EXPECT(forbids() && untouched()); \
    } while (0)

    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    TICK_REFUSED(TICK(&inputs, sizeof inputs - 4, findings, 1, &found, &summary), WRONG_SIZE);
    TICK_REFUSED(TICK(&inputs, 0, findings, 1, &found, &summary), WRONG_SIZE);
    TICK_REFUSED(TICK(&inputs, SIZE_MAX, findings, 1, &found, &summary), WRONG_SIZE);
    TICK_REFUSED(TICK(NULL, sizeof inputs, findings, 1, &found, &summary), NULL_POINTER);
    TICK_REFUSED(TICK(at(2), sizeof inputs, findings, 1, &found, &summary), NOT_ALIGNED);
    TICK_REFUSED(TICK(&inputs, sizeof inputs, NULL, 1, &found, &summary), NULL_POINTER);
    TICK_REFUSED(TICK(&inputs, sizeof inputs, at(2), 1, &found, &summary), NOT_ALIGNED);
    TICK_REFUSED(TICK(at(0), sizeof inputs, at(4), 1, &found, &summary), OVERLAP);
    TICK_REFUSED(TICK((void *)&memory, sizeof inputs, findings, 1, &found, &summary), OVERLAP);
    TICK_REFUSED(TICK(&inputs, sizeof inputs, (void *)&memory.words[1020], 1, &found, &summary),
                 OVERLAP);

    /* Nowhere to write one of the two: the other is written all the same. */
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, NULL, &summary), NULL_POINTER);
    found = 0;
    EXPECT(forbids() && untouched());
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, at(2), &summary), NOT_ALIGNED);
    found = 0;
    EXPECT(forbids() && untouched());
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, &found, NULL), NULL_POINTER);
    EXPECT(found == 0 && untouched());
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, &found, at(1)), NOT_ALIGNED);
    EXPECT(found == 0 && untouched());
    /* In the memory that is prepared nothing is written, though it would forbid. */
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, &found, (void *)&memory.words[900]),
            OVERLAP);
    EXPECT(found == 0 && untouched());
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, (void *)&memory.words[900], &summary),
            OVERLAP);
    found = 0;
    EXPECT(forbids() && untouched());
    /* Both at one place: the sum is what stays there. */
    pretend();
    REFUSED(TICK(&inputs, sizeof inputs, findings, 1, at(8), at(8)), OVERLAP);
    memcpy(&summary, at(8), sizeof summary);
    found = 0;
    EXPECT(forbids());
}

/* Inputs that were made otherwise than by orangeloom_inputs_clear. The link is forgotten in
   all of them: of zero bytes it would be 0 V, measured just now. */
static void inputs_of_zero_bytes(void)
{
    static const struct OrangeloomInputs zero = {0};
    unsigned bit;

    EXPECT(start() == ORANGELOOM_STATUS_OK);
    memset(&inputs, 0, sizeof inputs);
    TICK_REFUSED(tick(0), INPUTS_NOT_CLEARED);
    park();
    TICK_REFUSED(tick(0), INPUTS_NOT_CLEARED);
    inputs = zero;
    park();
    memset(&inputs.link_voltage, 0, sizeof inputs.link_voltage);
    TICK_REFUSED(tick(0), INPUTS_NOT_CLEARED);
    EXPECT(may_close() == 0);
    memset(&inputs, 0xff, sizeof inputs);
    TICK_REFUSED(tick(0), INPUTS_NOT_CLEARED);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    EXPECT(inputs.cleared != 0);
    park();
    for (bit = 0; bit < 32; bit++) {
        inputs.cleared ^= (uint32_t)1 << bit;
        TICK_REFUSED(tick(0), INPUTS_NOT_CLEARED);
        inputs.cleared ^= (uint32_t)1 << bit;
    }
    EXPECT(may_close() > 100);
    /* Forgotten, but cleared before. */
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    park();
    inputs.link_voltage.value = NAN;
    inputs.link_voltage.age_ms = UINT32_MAX;
    EXPECT(may_close() == 0);
}

/* Numbers that no list has, everywhere where one is asked for. */
static void unknown_values(void)
{
    uint8_t *const yes_or_no[] = {
        &inputs.contactor[0].commanded, &inputs.contactor[11].commanded,
        &inputs.resistor_fitted,        &inputs.joint[0].fitted,
        &inputs.joint[2].fitted,        &inputs.torque,
        &inputs.discharging,            &inputs.start,
    };
    uint8_t *const listed[][2] = {
        {&inputs.contactor[0].contact.state, (uint8_t *)"\4"},
        {&inputs.contactor[11].contact.state, (uint8_t *)"\4"},
        {&inputs.interlock.state, (uint8_t *)"\4"},
        {&inputs.plugged.state, (uint8_t *)"\4"},
        {&inputs.open, (uint8_t *)"\3"},
    };
    size_t i;

    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    for (i = 0; i < sizeof yes_or_no / sizeof *yes_or_no; i++) {
        *yes_or_no[i] = 2;
        TICK_REFUSED(tick(0), UNKNOWN_VALUE);
        *yes_or_no[i] = 255;
        TICK_REFUSED(tick(0), UNKNOWN_VALUE);
        *yes_or_no[i] = 0;
    }
    for (i = 0; i < sizeof listed / sizeof *listed; i++) {
        const uint8_t good = *listed[i][0];
        *listed[i][0] = *listed[i][1];
        TICK_REFUSED(tick(0), UNKNOWN_VALUE);
        *listed[i][0] = 255;
        TICK_REFUSED(tick(0), UNKNOWN_VALUE);
        *listed[i][0] = good;
    }
    REFUSED(tick(0), OK);
}

/* Whatever bytes the inputs have, floats that are no numbers too. */
static void wild_inputs(void)
{
    uint32_t random = 1, ticks, cleared;
    unsigned refused = 0, seen = 0;

    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    cleared = inputs.cleared;
    for (ticks = 0; ticks < 3000; ticks++) {
        unsigned char *bytes = (unsigned char *)&inputs;
        OrangeloomStatus status;
        size_t i;

        for (i = 0; i < sizeof inputs; i++) {
            random = random * 1664525u + 1013904223u;
            bytes[i] = (unsigned char)(random >> 24);
        }
        if (ticks % 16 != 0) {
            inputs.cleared = cleared;
        }
        if (ticks % 4 != 0) {
            for (i = 0; i < ORANGELOOM_MAX_CONTACTORS; i++) {
                inputs.contactor[i].commanded &= 1;
                inputs.contactor[i].contact.state &= 3;
            }
            for (i = 0; i < ORANGELOOM_MAX_JOINTS; i++) {
                inputs.joint[i].fitted &= 1;
            }
            inputs.interlock.state &= 3;
            inputs.plugged.state &= 3;
            inputs.resistor_fitted &= 1;
            inputs.torque &= 1;
            inputs.discharging &= 1;
            inputs.start &= 1;
            inputs.open &= 1;
        }
        pretend();
        status = tick(random);
        if (status == ORANGELOOM_STATUS_OK) {
            seen++;
            EXPECT(found <= ORANGELOOM_MAX_FINDINGS && summary.may_close <= 1);
            EXPECT(summary.derate >= 0.0f && summary.derate <= 1.0f);
        } else {
            refused++;
            EXPECT(status
                   == (ticks % 16 == 0 ? ORANGELOOM_STATUS_INPUTS_NOT_CLEARED
                                       : ORANGELOOM_STATUS_UNKNOWN_VALUE));
            EXPECT(forbids() && untouched());
        }
    }
    EXPECT(seen >= 2000 && refused >= 700);
}

/* The byte between two fields may be any. */
static int same(const struct OrangeloomFinding *one, const struct OrangeloomFinding *other)
{
    return one->check == other->check && one->part == other->part && one->state == other->state
           && one->unusable == other->unusable && one->reset == other->reset
           && one->advice == other->advice && one->for_ms == other->for_ms
           && memcmp(&one->measured, &other->measured, sizeof(float)) == 0
           && memcmp(&one->limit, &other->limit, sizeof(float)) == 0;
}

/* Too little room: the first findings are there, the sum is of all. */
static void more_findings(void)
{
    static struct OrangeloomFinding all[ORANGELOOM_MAX_FINDINGS];
    struct OrangeloomSummary whole;
    size_t sum, i;

    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    REFUSED(TICK(&inputs, sizeof inputs, all, ORANGELOOM_MAX_FINDINGS, &sum, &whole), OK);
    EXPECT(sum > 5 && whole.may_close == 0 && whole.blind > 0);
    for (i = 0; i < sum; i++) {
        EXPECT(prepare() == ORANGELOOM_STATUS_OK);
        memset(findings, 0x5a, sizeof findings);
        REFUSED(TICK(&inputs, sizeof inputs, i == 0 ? NULL : findings, i, &found, &summary),
                MORE_FINDINGS);
        EXPECT(found == i && memcmp(&summary, &whole, sizeof whole) == 0);
        EXPECT(i == 0 || same(&findings[i - 1], &all[i - 1]));
        EXPECT(((unsigned char *)&findings[i])[0] == 0x5a);
    }
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    /* More room than there can be is no more than what is ever needed. */
    REFUSED(TICK(&inputs, sizeof inputs, findings, SIZE_MAX, &found, &summary), OK);
    EXPECT(found == sum);
    REFUSED(tick(20), OK);
}

static void parts(void)
{
    unsigned i;

    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_WELD, 0), OK);
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_WELD,
                                   CONTACTORS - 1),
            OK);
    for (i = ORANGELOOM_CHECK_FUSE_PULSE + 1; i <= 255; i++) {
        REFUSED(orangeloom_acknowledge(&memory, sizeof memory, (uint8_t)i, 0), UNKNOWN_VALUE);
    }
    for (i = 0; i <= 255; i++) {
        const OrangeloomStatus contactor = i < CONTACTORS ? ORANGELOOM_STATUS_OK
                                                          : ORANGELOOM_STATUS_NO_SUCH_PART;
        const OrangeloomStatus current = i < CURRENTS ? ORANGELOOM_STATUS_OK
                                                      : ORANGELOOM_STATUS_NO_SUCH_PART;
        const OrangeloomStatus conductor = i < CONDUCTORS ? ORANGELOOM_STATUS_OK
                                                          : ORANGELOOM_STATUS_NO_SUCH_PART;
        const OrangeloomStatus one = i < 1 ? ORANGELOOM_STATUS_OK
                                           : ORANGELOOM_STATUS_NO_SUCH_PART;
        const uint8_t part = (uint8_t)i;

        EXPECT(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_WELD, part)
               == contactor);
        EXPECT(orangeloom_acknowledge(&memory, sizeof memory,
                                      ORANGELOOM_CHECK_MAIN_CLOSE_VERIFY, part)
               == contactor);
        EXPECT(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_PRECHARGE_RISE,
                                      part)
               == one);
        EXPECT(orangeloom_acknowledge(&memory, sizeof memory,
                                      ORANGELOOM_CHECK_SENSOR_PLAUSIBLE, part)
               == one);
        EXPECT(orangeloom_acknowledge(&memory, sizeof memory,
                                      ORANGELOOM_CHECK_DISCHARGE_ON_PACK, part)
               == one);
        /* No strings in parallel: nothing drifts. */
        REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_STRING_DRIFT,
                                       part),
                NO_SUCH_PART);
        EXPECT(orangeloom_contactor_replaced(&memory, sizeof memory, part) == contactor);
        EXPECT(orangeloom_fuse_replaced(&memory, sizeof memory, part) == current);
        degc = 5.0f;
        EXPECT(orangeloom_conductor_temperature(&memory, sizeof memory, part, &degc)
               == conductor);
        EXPECT(i < CONDUCTORS ? isnan(degc) : degc == 5.0f);
    }
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_TICK_LATE, 0),
            CLEARS_OTHERWISE);
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_INTERLOCK_OPEN, 0),
            CLEARS_OTHERWISE);
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, NO_CHECK, 0), UNKNOWN_VALUE);
}

static void outputs(void)
{
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    pretend();
    REFUSED(orangeloom_keep(&memory, sizeof memory, NULL, sizeof kept, &kept_size),
            NULL_POINTER);
    REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), sizeof kept, NULL), NULL_POINTER);
    REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), sizeof kept, at(513)), NOT_ALIGNED);
    REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), sizeof kept - 1, at(600)),
            WRONG_SIZE);
    REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), sizeof kept, at(504)), OVERLAP);
    REFUSED(orangeloom_keep(&memory, sizeof memory, (uint8_t *)&memory, sizeof kept, at(600)),
            OVERLAP);
    REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), sizeof kept,
                            (void *)&memory.words[1000]),
            OVERLAP);
    REFUSED(orangeloom_counters(&memory, sizeof memory, NULL, sizeof counters), NULL_POINTER);
    REFUSED(orangeloom_counters(&memory, sizeof memory, at(1), sizeof counters), NOT_ALIGNED);
    REFUSED(orangeloom_counters(&memory, sizeof memory, at(0), sizeof counters - 2),
            WRONG_SIZE);
    REFUSED(orangeloom_counters(&memory, sizeof memory, (void *)&memory, sizeof counters),
            OVERLAP);
    REFUSED(orangeloom_conductor_temperature(&memory, sizeof memory, 0, NULL), NULL_POINTER);
    REFUSED(orangeloom_conductor_temperature(&memory, sizeof memory, 0, at(2)), NOT_ALIGNED);
    REFUSED(orangeloom_conductor_temperature(&memory, sizeof memory, 0, (void *)&memory),
            OVERLAP);
    REFUSED(orangeloom_restore(&memory, sizeof memory, NULL, 0), NULL_POINTER);
    REFUSED(orangeloom_restore(&memory, sizeof memory, at(0), SIZE_MAX), WRONG_SIZE);
    REFUSED(orangeloom_restore(&memory, sizeof memory, at(0), 0), WRONG_SIZE);
    REFUSED(orangeloom_restore(&memory, sizeof memory, (uint8_t *)&memory, 100), OVERLAP);
    REFUSED(orangeloom_inputs_clear(NULL, sizeof inputs), NULL_POINTER);
    REFUSED(orangeloom_inputs_clear(at(1), sizeof inputs), NOT_ALIGNED);
    REFUSED(orangeloom_inputs_clear(at(0), sizeof inputs + 4), WRONG_SIZE);
    EXPECT(untouched());
}

static void restarts(void)
{
    size_t i;

    EXPECT(start() == ORANGELOOM_STATUS_OK);
    REFUSED(orangeloom_keep(&memory, sizeof memory, kept, sizeof kept, &kept_size), OK);
    EXPECT(kept_size > 0 && kept_size <= sizeof kept);
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size - 1), WRONG_SIZE);
    for (i = 0; i < kept_size; i++) {
        kept[i] ^= 0x10;
        /* What was there before is refused already: nothing changes. */
        pretend();
        REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), KEPT_DAMAGED);
        EXPECT(untouched());
        kept[i] ^= 0x10;
    }
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), OK);
    orangeloom_inputs_clear(&inputs, sizeof inputs);
    REFUSED(tick(0), OK);
    pretend();
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), TOO_LATE);
    EXPECT(untouched());
}

/* What was kept is lost, and whoever called did not look at the status: a lock must not be
   lost with it. */
static void lost_stores(void)
{
    struct OrangeloomSignal *const cells = &inputs.string_voltage[ORANGELOOM_STRING_CELLS];
    unsigned kind;

    /* A lock: the sensor of the string is implausible for a second. */
    EXPECT(start() == ORANGELOOM_STATUS_OK);
    EXPECT(parked_may_close() > 100);
    measure(cells, 120.0f);
    may_close();
    EXPECT(summary.may_close == 0);
    EXPECT(parked_may_close() == 0);
    REFUSED(orangeloom_keep(&memory, sizeof memory, kept, sizeof kept, &kept_size), OK);

    for (kind = 0; kind < 6; kind++) {
        EXPECT(prepare() == ORANGELOOM_STATUS_OK);
        switch (kind) {
        case 0: /* forgotten */
            break;
        case 1: /* damaged, or of another vehicle or version: see the tests of the core */
            kept[60] ^= 1;
            REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), KEPT_DAMAGED);
            kept[60] ^= 1;
            break;
        case 2:
            REFUSED(orangeloom_restore(&memory, sizeof memory, kept, 0), WRONG_SIZE);
            break;
        case 3:
            REFUSED(orangeloom_restore(&memory, sizeof memory, NULL, kept_size), NULL_POINTER);
            break;
        case 4: /* another function was at work */
            ((unsigned char *)&memory.words[MARK_WORDS])[0] = 1;
            REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), BUSY);
            ((unsigned char *)&memory.words[MARK_WORDS])[0] = 0;
            break;
        default: /* after the first tick */
            EXPECT(parked_may_close() == 0);
            REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), TOO_LATE);
            break;
        }
        EXPECT(parked_may_close() == 0);
        EXPECT((summary.advice & ORANGELOOM_ADVICE_FORBID_CLOSING) != 0);
        EXPECT((summary.advice & ORANGELOOM_ADVICE_WARN) != 0 && summary.open_now == 0);
        /* What is stored is not written over with a record of no locks. */
        pretend();
        REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), ORANGELOOM_KEPT_BYTES, at(512)),
                NOT_RESTORED);
        EXPECT(untouched());
        /* No acknowledgement clears it, but somebody who looked at the vehicle does. */
        REFUSED(orangeloom_acknowledge(&memory, sizeof memory,
                                       ORANGELOOM_CHECK_SENSOR_PLAUSIBLE, 0),
                OK);
        EXPECT(parked_may_close() == 0);
        REFUSED(orangeloom_start_without_store(&memory, sizeof memory), OK);
        EXPECT(parked_may_close() > 100);
        REFUSED(orangeloom_keep(&memory, sizeof memory, at(0), ORANGELOOM_KEPT_BYTES, at(512)),
                OK);
    }

    /* Taken over: the lock is there, and clears as it should. */
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    kept[60] ^= 1;
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), KEPT_DAMAGED);
    kept[60] ^= 1;
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), OK);
    EXPECT(parked_may_close() == 0);
    REFUSED(orangeloom_start_without_store(&memory, sizeof memory), OK);
    EXPECT(parked_may_close() == 0);
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_SENSOR_PLAUSIBLE,
                                   0),
            OK);
    EXPECT(parked_may_close() > 100);

    /* A damaged one after a good one may have had a newer lock. */
    EXPECT(prepare() == ORANGELOOM_STATUS_OK);
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), OK);
    kept[60] ^= 1;
    REFUSED(orangeloom_restore(&memory, sizeof memory, kept, kept_size), KEPT_DAMAGED);
    kept[60] ^= 1;
    REFUSED(orangeloom_acknowledge(&memory, sizeof memory, ORANGELOOM_CHECK_SENSOR_PLAUSIBLE,
                                   0),
            OK);
    EXPECT(parked_may_close() == 0);
}

int main(void)
{
    EXPECT(orangeloom_interface_version() == ORANGELOOM_INTERFACE_VERSION);
    EXPECT(orangeloom_monitors_size() == sizeof memory);
    EXPECT(orangeloom_monitors_alignment() == 4 && orangeloom_inputs_alignment() == 4);
    EXPECT(orangeloom_inputs_size() == sizeof inputs);
    EXPECT(orangeloom_finding_size() == sizeof *findings);
    EXPECT(orangeloom_summary_size() == sizeof summary);
    EXPECT(orangeloom_counters_size() == sizeof counters);
    EXPECT(orangeloom_image_size() == sizeof facts);
    memory_of_no_use();
    memory_of_another_build();
    memory_at_work();
    images();
    ticks();
    inputs_of_zero_bytes();
    unknown_values();
    wild_inputs();
    more_findings();
    parts();
    outputs();
    restarts();
    lost_stores();
    printf("contract: %u promises looked at, %u broken\n", looked_at, broken);
    return broken != 0;
}
