/*
 * orangeloom: monitors for the high-voltage side of an electric conversion.
 * Made by cbindgen from c-api/src; `ci/c-api --renew` makes it anew.
 */

#ifndef ORANGELOOM_H
#define ORANGELOOM_H

#include <stddef.h>
#include <stdint.h>

/*
 Version of this interface: it grows when a program that was built with an older header
 must not use the library.
 */
#define ORANGELOOM_INTERFACE_VERSION 1

/*
 Room for a revision and its closing zero.
 */
#define ORANGELOOM_REVISION_BYTES 41

/*
 Room for a reason and its closing zero.
 */
#define ORANGELOOM_REASON_BYTES 121

/*
 Most strings.
 */
#define ORANGELOOM_MAX_STRINGS 4

/*
 Most measured currents.
 */
#define ORANGELOOM_MAX_CURRENTS 8

/*
 Most contactors.
 */
#define ORANGELOOM_MAX_CONTACTORS 12

/*
 Most pairs of joints.
 */
#define ORANGELOOM_MAX_JOINTS 3

/*
 `Flag.state`: off, or open.
 */
#define ORANGELOOM_FLAG_OFF 0

/*
 `Flag.state`: on, or closed.
 */
#define ORANGELOOM_FLAG_ON 1

/*
 `Flag.state`: it should be known, but is not.
 */
#define ORANGELOOM_FLAG_UNKNOWN 2

/*
 `Flag.state`: this vehicle does not have it. Decide once, never while it drives.
 */
#define ORANGELOOM_FLAG_NOT_FITTED 3

/*
 `Inputs.open`: nothing is to be opened.
 */
#define ORANGELOOM_OPEN_NOTHING 0

/*
 `Inputs.open`: open without load, if the current goes in time.
 */
#define ORANGELOOM_OPEN_SOFTLY 1

/*
 `Inputs.open`: open at once: crash, stop button.
 */
#define ORANGELOOM_OPEN_AT_ONCE 2

/*
 Words of four bytes that the caller keeps for one vehicle.
 */
#define ORANGELOOM_MONITORS_WORDS 1024

/*
 Bytes that `orangeloom_keep` writes at most.
 */
#define ORANGELOOM_KEPT_BYTES 512

/*
 Findings of which room for all of one tick is made.
 */
#define ORANGELOOM_MAX_FINDINGS 160

/*
 Advice: tell the driver.
 */
#define ORANGELOOM_ADVICE_WARN 1

/*
 Advice: draw no more than the share `Summary.derate` of the lasting current.
 */
#define ORANGELOOM_ADVICE_DERATE 2

/*
 Advice: close nothing that is open.
 */
#define ORANGELOOM_ADVICE_FORBID_CLOSING 4

/*
 Advice: do not close the main contactor of this string; precharging it is free.
 */
#define ORANGELOOM_ADVICE_FORBID_MAIN 8

/*
 Advice: open the precharge relay.
 */
#define ORANGELOOM_ADVICE_ABORT_PRECHARGE 16

/*
 Advice: ask for zero current, then open.
 */
#define ORANGELOOM_ADVICE_OPEN_SOFTLY 32

/*
 Advice: open.
 */
#define ORANGELOOM_ADVICE_OPEN_NOW 64

/*
 Advice: keep closed whatever else is advised, the fuse has to act.
 */
#define ORANGELOOM_ADVICE_DO_NOT_OPEN 128

/*
 Advice: stop charging.
 */
#define ORANGELOOM_ADVICE_STOP_CHARGING 256

/*
 Advice: ask for zero torque.
 */
#define ORANGELOOM_ADVICE_ZERO_TORQUE 512

/*
 Advice: switch the active discharge off.
 */
#define ORANGELOOM_ADVICE_STOP_DISCHARGE 1024

/*
 Advice: drive the coils with pull-in voltage again.
 */
#define ORANGELOOM_ADVICE_PULL_IN_AGAIN 2048

/*
 Advice: show that the link is charged.
 */
#define ORANGELOOM_ADVICE_SHOW_CHARGED 4096

/*
 Advice: nothing but the service disconnect parts the circuit.
 */
#define ORANGELOOM_ADVICE_SERVICE_DISCONNECT 8192

/*
 Advice: do not close the relay of this precharge path.
 */
#define ORANGELOOM_ADVICE_FORBID_PRECHARGE 16384

/*
 Whether a function did what it was asked for.
 */
enum OrangeloomStatus
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint8_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  /*
   It did.
   */
  ORANGELOOM_STATUS_OK = 0,
  /*
   A pointer is null.
   */
  ORANGELOOM_STATUS_NULL_POINTER = 1,
  /*
   A size is not the one that this library expects: another header, or too little memory.
   */
  ORANGELOOM_STATUS_WRONG_SIZE = 2,
  /*
   Memory does not begin at a multiple of four bytes.
   */
  ORANGELOOM_STATUS_NOT_ALIGNED = 3,
  /*
   `orangeloom_monitors_prepare` did not succeed on this memory.
   */
  ORANGELOOM_STATUS_NOT_PREPARED = 4,
  /*
   A number that has to be one of an enumeration is none of it.
   */
  ORANGELOOM_STATUS_UNKNOWN_VALUE = 5,
  /*
   There were more findings than fit; the first ones are there, the sum is of all.
   */
  ORANGELOOM_STATUS_MORE_FINDINGS = 6,
  /*
   What was kept over a restart is damaged, or of another vehicle.
   */
  ORANGELOOM_STATUS_KEPT_DAMAGED = 7,
  /*
   The image does not begin as one does.
   */
  ORANGELOOM_STATUS_IMAGE_MAGIC = 16,
  /*
   The image has another version.
   */
  ORANGELOOM_STATUS_IMAGE_VERSION = 17,
  /*
   The image is too short or too long.
   */
  ORANGELOOM_STATUS_IMAGE_LENGTH = 18,
  /*
   The checksum of the image differs.
   */
  ORANGELOOM_STATUS_IMAGE_CHECKSUM = 19,
  /*
   A value of the image is outside its range.
   */
  ORANGELOOM_STATUS_IMAGE_RANGE = 20,
  /*
   The image holds what no image holds.
   */
  ORANGELOOM_STATUS_IMAGE_CONTENT = 21,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OrangeloomStatus OrangeloomStatus;
#else
typedef uint8_t OrangeloomStatus;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

/*
 Which check. What each looks at stands in the documentation of the monitors.
 */
enum OrangeloomCheck
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint8_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  ORANGELOOM_CHECK_TICK_LATE = 0,
  ORANGELOOM_CHECK_SENSOR_PLAUSIBLE = 1,
  ORANGELOOM_CHECK_LINK_DEAD_BEFORE_CLOSE = 2,
  ORANGELOOM_CHECK_PRECHARGE_RISE = 3,
  ORANGELOOM_CHECK_PRECHARGE_SHORT = 4,
  ORANGELOOM_CHECK_PRECHARGE_OPEN = 5,
  ORANGELOOM_CHECK_PRECHARGE_LOAD = 6,
  ORANGELOOM_CHECK_PRECHARGE_TIME_OUT = 7,
  ORANGELOOM_CHECK_PRECHARGE_BUDGET = 8,
  ORANGELOOM_CHECK_CLOSE_PERMISSION = 9,
  ORANGELOOM_CHECK_MAIN_CLOSE_VERIFY = 10,
  ORANGELOOM_CHECK_WELD = 11,
  ORANGELOOM_CHECK_OPEN_UNDER_LOAD = 12,
  ORANGELOOM_CHECK_SOFT_OPEN = 13,
  ORANGELOOM_CHECK_OVERCURRENT_BAND = 14,
  ORANGELOOM_CHECK_DO_NOT_OPEN_BAND = 15,
  ORANGELOOM_CHECK_STRING_SHARE = 16,
  ORANGELOOM_CHECK_STRING_JOIN = 17,
  ORANGELOOM_CHECK_STRING_DRIFT = 18,
  ORANGELOOM_CHECK_ISOLATION_LOW = 19,
  ORANGELOOM_CHECK_ISOLATION_STALE = 20,
  ORANGELOOM_CHECK_INTERLOCK_OPEN = 21,
  ORANGELOOM_CHECK_HIGH_VOLTAGE_AFTER_OFF = 22,
  ORANGELOOM_CHECK_DISCHARGE_ON_PACK = 23,
  ORANGELOOM_CHECK_COIL_DIP = 24,
  ORANGELOOM_CHECK_RESISTOR_HOT = 25,
  ORANGELOOM_CHECK_JOINT_HOT = 26,
  ORANGELOOM_CHECK_CONDUCTOR_HOT = 27,
  ORANGELOOM_CHECK_PLUG_MOVES = 28,
  ORANGELOOM_CHECK_FUSE_PULSE = 29,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OrangeloomCheck OrangeloomCheck;
#else
typedef uint8_t OrangeloomCheck;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

/*
 What a check is about now.
 */
enum OrangeloomState
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint8_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  /*
   It does not hold, not for long enough yet.
   */
  ORANGELOOM_STATE_WATCHING = 0,
  /*
   It does not hold.
   */
  ORANGELOOM_STATE_FOUND = 1,
  /*
   It holds again, but what clears it has not come yet.
   */
  ORANGELOOM_STATE_CLEARING = 2,
  /*
   An input cannot be used.
   */
  ORANGELOOM_STATE_BLIND = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OrangeloomState OrangeloomState;
#else
typedef uint8_t OrangeloomState;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

/*
 Why an input cannot be used.
 */
enum OrangeloomUnusable
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint8_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  /*
   It can.
   */
  ORANGELOOM_UNUSABLE_NO = 0,
  /*
   Not measured, or no number.
   */
  ORANGELOOM_UNUSABLE_NOT_A_NUMBER = 1,
  /*
   Outside what the sensor shows.
   */
  ORANGELOOM_UNUSABLE_OUT_OF_RANGE = 2,
  /*
   Too old.
   */
  ORANGELOOM_UNUSABLE_STALE = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OrangeloomUnusable OrangeloomUnusable;
#else
typedef uint8_t OrangeloomUnusable;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

/*
 What clears a finding.
 */
enum OrangeloomReset
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint8_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  /*
   It clears by itself when the cause is gone for a while.
   */
  ORANGELOOM_RESET_GONE = 0,
  /*
   A new start when the cause is gone.
   */
  ORANGELOOM_RESET_START = 1,
  /*
   `orangeloom_acknowledge`, by somebody who looked after it.
   */
  ORANGELOOM_RESET_ACKNOWLEDGE = 2,
  /*
   Waiting.
   */
  ORANGELOOM_RESET_WAIT = 3,
  /*
   The input has to be measured again.
   */
  ORANGELOOM_RESET_INPUT = 4,
  /*
   Nothing; it is told once.
   */
  ORANGELOOM_RESET_TOLD = 5,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OrangeloomReset OrangeloomReset;
#else
typedef uint8_t OrangeloomReset;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

/*
 What an image is of.
 */
typedef struct OrangeloomImage {
  /*
   Checksum of all that the design states.
   */
  uint32_t fingerprint;
  /*
   Revision of the design, closed by a zero; empty where it states none.
   */
  uint8_t revision[ORANGELOOM_REVISION_BYTES];
  /*
   Why the image was made although the review of the design did not pass, closed by a
   zero; empty where it passed. Show it at every start.
   */
  uint8_t reason[ORANGELOOM_REASON_BYTES];
  /*
   Strings.
   */
  uint8_t strings;
  /*
   Currents that it wants measured.
   */
  uint8_t currents;
  /*
   Contactors.
   */
  uint8_t contactors;
  /*
   Conductors that are watched.
   */
  uint8_t conductors;
} OrangeloomImage;

/*
 A measured value with its age.
 */
typedef struct OrangeloomSignal {
  /*
   The value. Anything that is no number counts as not measured.
   */
  float value;
  /*
   Milliseconds since it was measured (not since it was sent).
   */
  uint32_t age_ms;
} OrangeloomSignal;

/*
 Something that is on or off, with its age.
 */
typedef struct OrangeloomFlag {
  /*
   One of `ORANGELOOM_FLAG_...`.
   */
  uint8_t state;
  /*
   Milliseconds since it was read.
   */
  uint32_t age_ms;
} OrangeloomFlag;

/*
 A contactor as the controller sees it.
 */
typedef struct OrangeloomContactor {
  /*
   1 while its coil is switched on, else 0.
   */
  uint8_t commanded;
  /*
   What its auxiliary contact tells.
   */
  struct OrangeloomFlag contact;
} OrangeloomContactor;

/*
 Temperatures of the same joint of both poles, degC.
 */
typedef struct OrangeloomJointPair {
  /*
   1 if both are measured on this vehicle, else 0.
   */
  uint8_t fitted;
  /*
   Of the positive pole.
   */
  struct OrangeloomSignal positive;
  /*
   Of the negative pole.
   */
  struct OrangeloomSignal negative;
} OrangeloomJointPair;

/*
 Everything that the monitors look at in one tick. Fill it with
 `orangeloom_inputs_clear`, then with what was measured.
 */
typedef struct OrangeloomInputs {
  /*
   Voltage of each string ahead of its fuse and contactors, V.
   */
  struct OrangeloomSignal string_voltage[ORANGELOOM_MAX_STRINGS];
  /*
   Voltage of the link, V.
   */
  struct OrangeloomSignal link_voltage;
  /*
   Each current of the image in its order, A. Discharge counts positive.
   */
  struct OrangeloomSignal current[ORANGELOOM_MAX_CURRENTS];
  /*
   Each contactor of the image in its order.
   */
  struct OrangeloomContactor contactor[ORANGELOOM_MAX_CONTACTORS];
  /*
   Isolation resistance, ohm.
   */
  struct OrangeloomSignal isolation;
  /*
   The interlock loop; on is closed.
   */
  struct OrangeloomFlag interlock;
  /*
   Something is plugged into the charging inlet.
   */
  struct OrangeloomFlag plugged;
  /*
   Speed, km/h.
   */
  struct OrangeloomSignal speed;
  /*
   Supply of the coils, V.
   */
  struct OrangeloomSignal supply;
  /*
   1 if the temperature of the precharge resistor is measured on this vehicle, else 0.
   */
  uint8_t resistor_fitted;
  /*
   It, degC.
   */
  struct OrangeloomSignal resistor;
  /*
   Pairs of joints.
   */
  struct OrangeloomJointPair joint[ORANGELOOM_MAX_JOINTS];
  /*
   1 while torque is requested, else 0.
   */
  uint8_t torque;
  /*
   1 while the active discharge is switched on, else 0.
   */
  uint8_t discharging;
  /*
   1 while a start is asked for, as by a key, else 0.
   */
  uint8_t start;
  /*
   One of `ORANGELOOM_OPEN_...`.
   */
  uint8_t open;
} OrangeloomInputs;

/*
 The same memory before anything is known about it.
 */
typedef struct OrangeloomMemory {
  /*
   Not to be looked at.
   */
  uint32_t words[ORANGELOOM_MONITORS_WORDS];
} OrangeloomMemory;

/*
 A check that does not hold.
 */
typedef struct OrangeloomFinding {
  /*
   Which check.
   */
  OrangeloomCheck check;
  /*
   Which contactor, string, current or conductor of the image, from zero.
   */
  uint8_t part;
  /*
   Its state.
   */
  OrangeloomState state;
  /*
   Why an input cannot be used, where that is so.
   */
  OrangeloomUnusable unusable;
  /*
   What clears it.
   */
  OrangeloomReset reset;
  /*
   What to do: `ORANGELOOM_ADVICE_...`, added up.
   */
  uint16_t advice;
  /*
   How long it has been in this state, ms.
   */
  uint32_t for_ms;
  /*
   What was measured; no number where nothing was.
   */
  float measured;
  /*
   What it is held against; no number where it is held against nothing.
   */
  float limit;
} OrangeloomFinding;

/*
 Everything that was told in one tick, together.
 */
typedef struct OrangeloomSummary {
  /*
   All advice together: `ORANGELOOM_ADVICE_...`, added up.
   */
  uint16_t advice;
  /*
   Strings whose main contactor may not close: bit 0 is the first string.
   */
  uint8_t held;
  /*
   Precharge paths whose relay may not close: bit 0 is the first path.
   */
  uint8_t hot;
  /*
   1 if something that is open may be closed, else 0.
   */
  uint8_t may_close;
  /*
   1 if it is to be opened now: advised, and not more current than contactors break.
   */
  uint8_t open_now;
  /*
   Checks that do not hold.
   */
  uint8_t found;
  /*
   Checks with an input that cannot be used.
   */
  uint8_t blind;
  /*
   With `ORANGELOOM_ADVICE_DERATE`: the largest share of the lasting current, 0 to 1.
   */
  float derate;
} OrangeloomSummary;

/*
 Counts since the parts were new.
 */
typedef struct OrangeloomCounters {
  /*
   Openings under load of each contactor: up to half of what it breaks, up to all of
   it, above, with a current that was not known.
   */
  uint16_t openings[ORANGELOOM_MAX_CONTACTORS][4];
  /*
   Pulses of the fuse of each current that came to 30, 50, 80 % of melting it.
   */
  uint16_t pulses[ORANGELOOM_MAX_CURRENTS][3];
} OrangeloomCounters;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

/*
 The version of the interface that the library was built with. Compare it with
 `ORANGELOOM_INTERFACE_VERSION` of the header at start.
 */
uint32_t orangeloom_interface_version(void);

/*
 The version of the images that the library reads.
 */
uint32_t orangeloom_image_version(void);

/*
 Reads and checks a whole image and says what it is of, if `facts` is not null.
 */
OrangeloomStatus orangeloom_image_check(const uint8_t *image,
                                        size_t image_size,
                                        struct OrangeloomImage *facts,
                                        size_t facts_size);

/*
 Fills inputs so that nothing counts as measured and nothing as commanded.
 */
OrangeloomStatus orangeloom_inputs_clear(struct OrangeloomInputs *inputs, size_t size);

/*
 Reads an image into the caller's memory and begins with nothing seen. Memory that was
 prepared before is not prepared any more if this fails.
 */
OrangeloomStatus orangeloom_monitors_prepare(struct OrangeloomMemory *memory,
                                             size_t memory_size,
                                             const uint8_t *image,
                                             size_t image_size);

/*
 Looks at everything once. `now_ms` is a clock that may wrap. Each check that does not
 hold is written to `findings`, at most `capacity` of them, their number to `found`;
 `findings` may be null with a capacity of zero. `summary` is of all of them. With
 `ORANGELOOM_STATUS_MORE_FINDINGS` everything is written, as far as there is room; with
 any other error nothing is, the tick did not happen, and nothing may be closed.
 */
OrangeloomStatus orangeloom_tick(struct OrangeloomMemory *memory,
                                 size_t memory_size,
                                 uint32_t now_ms,
                                 const struct OrangeloomInputs *inputs,
                                 size_t inputs_size,
                                 struct OrangeloomFinding *findings,
                                 size_t capacity,
                                 size_t *found,
                                 struct OrangeloomSummary *summary);

/*
 Somebody looked after the cause of a finding. Clears only what waits for that; what
 still does not hold is found again. `check` is one of `OrangeloomCheck`.
 */
OrangeloomStatus orangeloom_acknowledge(struct OrangeloomMemory *memory,
                                        size_t memory_size,
                                        uint8_t check,
                                        uint8_t part);

/*
 Writes what has to outlast a restart (counters, locks, heat) into `kept`, and its
 length to `kept_size`. Do it when the vehicle is switched off and whenever a lock is
 found. `capacity` is at least `ORANGELOOM_KEPT_BYTES`.
 */
OrangeloomStatus orangeloom_keep(struct OrangeloomMemory *memory,
                                 size_t memory_size,
                                 uint8_t *kept,
                                 size_t capacity,
                                 size_t *kept_size);

/*
 Takes over what `orangeloom_keep` wrote before the restart. If it fails nothing is
 taken over and locks may be lost: have somebody look at the vehicle before it starts.
 */
OrangeloomStatus orangeloom_restore(struct OrangeloomMemory *memory,
                                    size_t memory_size,
                                    const uint8_t *kept,
                                    size_t kept_size);

/*
 What wears, since the parts were new.
 */
OrangeloomStatus orangeloom_counters(struct OrangeloomMemory *memory,
                                     size_t memory_size,
                                     struct OrangeloomCounters *counters,
                                     size_t counters_size);

/*
 A contactor of the image was replaced: its openings are counted anew.
 */
OrangeloomStatus orangeloom_contactor_replaced(struct OrangeloomMemory *memory,
                                               size_t memory_size,
                                               uint8_t contactor);

/*
 The fuse of a current of the image was replaced: its pulses are counted anew.
 */
OrangeloomStatus orangeloom_fuse_replaced(struct OrangeloomMemory *memory,
                                          size_t memory_size,
                                          uint8_t current);

/*
 Reckoned temperature of a conductor of the image, degC; no number before the first
 tick.
 */
OrangeloomStatus orangeloom_conductor_temperature(struct OrangeloomMemory *memory,
                                                  size_t memory_size,
                                                  uint8_t conductor,
                                                  float *degc);

/*
 Bytes that this library needs for one vehicle: the size of `OrangeloomMemory`.
 */
size_t orangeloom_monitors_size(void);

/*
 Where they have to begin: at a multiple of so many bytes.
 */
size_t orangeloom_monitors_alignment(void);

/*
 The size of `OrangeloomInputs` that this library expects.
 */
size_t orangeloom_inputs_size(void);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* ORANGELOOM_H */
