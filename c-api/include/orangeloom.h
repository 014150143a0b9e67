/*
 * orangeloom: monitors for the high-voltage side of an electric conversion.
 * Made by cbindgen from c-api/src; `ci/c-api --renew` makes it anew.
 *
 * HIGH-VOLTAGE DC KILLS. The monitors advise and switch nothing. You drive the contactors,
 * and need a way to open them that works without this program (stop button, crash,
 * watchdog). SAFETY.md states what else is assumed. Nothing here replaces local codes, the
 * makers' instructions and licensed practice.
 *
 * ORDER OF CALLS
 *   At every start of the program, with everything open:
 *     1. orangeloom_monitors_prepare: reads the image of limits
 *     2. orangeloom_restore: what was kept over the restart. Or, where nothing ever was,
 *        orangeloom_start_without_store. Until one of them succeeds every tick forbids
 *        closing, and orangeloom_keep is refused
 *   Every 10 ms or so, for ever:
 *     3. orangeloom_inputs_clear, then fill in what was measured and is commanded. A tick
 *        with inputs that were made otherwise, such as of zero bytes, is refused
 *     4. orangeloom_tick: go by its summary in this tick only
 *   When somebody looked after a finding: orangeloom_acknowledge. At switching off, when a
 *   lock comes or goes, and every few seconds while ORANGELOOM_CHECK_OVERCURRENT_BAND or
 *   ORANGELOOM_CHECK_CONDUCTOR_HOT is told: orangeloom_keep.
 *
 * WHAT IS YOURS
 *   Tripping   The trip that the design states for the controller (trip-current, trip-time) is
 *              told only where the image holds it, as ORANGELOOM_CHECK_OVERCURRENT_BAND with
 *              ORANGELOOM_ADVICE_OPEN_NOW; `orangeloom limits DESIGN --show` lists it then among
 *              the values of each current. Where it does not, open on that current yourself, in
 *              time, unless ORANGELOOM_ADVICE_DO_NOT_OPEN stands.
 *   Opening    ORANGELOOM_ADVICE_OPEN_NOW and OrangeloomSummary.open_now are about all
 *              contactors, whichever contactor or string the finding names.
 *   Clock      It runs evenly; it may wrap. Of a longer gap between two ticks ten seconds are
 *              counted and no more, for what heats and for what has to last. A clock that
 *              steps back counts as nothing for that tick and is told as
 *              ORANGELOOM_CHECK_TICK_LATE.
 *   Ages       `now - stamp` in unsigned numbers wraps to 49 days where the stamp is newer than
 *              `now`, as when an interrupt stamps meanwhile, and a good value is taken for
 *              stale: clamp it to 0 where the stamp is ahead by a tick or two. Where it is ahead
 *              by more leave it: a stamp that is 25 days old looks ahead as well.
 *
 * WHAT HOLDS FOR EVERY FUNCTION
 *   Memory     You own every byte. Nothing is allocated, and nothing is kept but in your
 *              `struct OrangeloomMemory`, one for each vehicle. No pointer is kept either.
 *   Pointers   Each has to lead to as many bytes as the size beside it says, or to one of
 *              its type, where the type may begin, and no two to the same bytes. Null,
 *              misaligned, overlapping or of another size is refused. What cannot be seen
 *              from here, such as a pointer to too little memory, is not.
 *   Sizes      are in bytes: hand over `sizeof`.
 *   Errors     Everything is checked first. With any status but ORANGELOOM_STATUS_OK nothing
 *              is written but what is said at the function. On an error keep open what is
 *              open; keep closed what is closed until the current is gone.
 *   Interrupts None waits, prints, calls back or uses a heap; each returns after a bounded
 *              time. None may begin on some memory while another runs on the same memory:
 *              call all of them from one task, or lock. One that does is refused with
 *              ORANGELOOM_STATUS_BUSY, but for orangeloom_monitors_prepare, which begins
 *              anew whatever is going on. On different memory they may.
 *   Numbers    `float` is IEEE 754 single precision; NaN is no number. Ages and times are
 *              milliseconds. What is yes or no is a `uint8_t` of 1 or 0, anything else is
 *              refused. Places (string, current, contactor, ...) count from 0 in the order
 *              that `orangeloom limits DESIGN --show` lists. What `--c-header` writes has them
 *              by the names in the design: ORANGELOOM_CONTACTOR_K_PLUS,
 *              ORANGELOOM_STRING_..., ORANGELOOM_CURRENT_..., ORANGELOOM_PATH_...,
 *              ORANGELOOM_CONDUCTOR_...; they are those of an image of this design alone.
 *   Compiler   C99 or C++11 and later, 32 or 64 bits. Enumerations are passed
 *              as `uint8_t`, so -fshort-enums makes no difference. At its end the header
 *              refuses to compile where the sizes are others than in the library.
 *   Stack      Of a Cortex-M4F: orangeloom_monitors_prepare and orangeloom_image_check about
 *              12 KiB, orangeloom_tick about 2 KiB, by the frames in the linked program.
 */

#ifndef ORANGELOOM_H
#define ORANGELOOM_H

#include <stddef.h>
#include <stdint.h>

/*
 Version of this interface: it grows when a program that was compiled with an older header
 must not use the library. Hand it to `orangeloom_monitors_prepare`.
 */
#define ORANGELOOM_INTERFACE_VERSION 3

/*
 Room for a revision and its closing zero.
 */
#define ORANGELOOM_REVISION_BYTES 41

/*
 Room for a reason and its closing zero.
 */
#define ORANGELOOM_REASON_BYTES 121

/*
 Size of `OrangeloomImage`, bytes.
 */
#define ORANGELOOM_IMAGE_BYTES 172

/*
 Most strings (batteries in parallel).
 */
#define ORANGELOOM_MAX_STRINGS 4

/*
 Most measured currents.
 */
#define ORANGELOOM_MAX_CURRENTS 8

/*
 Most contactors, precharge relays counted.
 */
#define ORANGELOOM_MAX_CONTACTORS 12

/*
 Most pairs of joints.
 */
#define ORANGELOOM_MAX_JOINTS 3

/*
 Size of `OrangeloomInputs`, bytes.
 */
#define ORANGELOOM_INPUTS_BYTES 368

/*
 `OrangeloomFlag.state`: off, or open.
 */
#define ORANGELOOM_FLAG_OFF 0

/*
 `OrangeloomFlag.state`: on, or closed.
 */
#define ORANGELOOM_FLAG_ON 1

/*
 `OrangeloomFlag.state`: it should be known, but is not.
 */
#define ORANGELOOM_FLAG_UNKNOWN 2

/*
 `OrangeloomFlag.state`: this vehicle does not have it. Decide once, never while it drives.
 */
#define ORANGELOOM_FLAG_NOT_FITTED 3

/*
 `OrangeloomInputs.open`: nothing is to be opened.
 */
#define ORANGELOOM_OPEN_NOTHING 0

/*
 `OrangeloomInputs.open`: open without load, if the current goes in time.
 */
#define ORANGELOOM_OPEN_SOFTLY 1

/*
 `OrangeloomInputs.open`: open at once: crash, stop button.
 */
#define ORANGELOOM_OPEN_AT_ONCE 2

/*
 Words of four bytes that the caller keeps for one vehicle.
 */
#define ORANGELOOM_MONITORS_WORDS 1152

/*
 Bytes that `orangeloom_keep` writes at most.
 */
#define ORANGELOOM_KEPT_BYTES 512

/*
 Size of `OrangeloomCounters`, bytes.
 */
#define ORANGELOOM_COUNTERS_BYTES 144

/*
 Findings of one tick at most. With room for so many, none is ever left out.
 */
#define ORANGELOOM_MAX_FINDINGS 123

/*
 Advice: tell the driver.
 */
#define ORANGELOOM_ADVICE_WARN 1

/*
 Advice: draw no more than the share `OrangeloomSummary.derate` of the lasting current.
 */
#define ORANGELOOM_ADVICE_DERATE 2

/*
 Advice: close nothing that is open. With no finding that advises it: what was kept over the
 restart was neither taken over nor said not to be there (`orangeloom_restore`,
 `orangeloom_start_without_store`).
 */
#define ORANGELOOM_ADVICE_FORBID_CLOSING 4

/*
 Advice: do not close the positive main contactor of this string; precharging it is free.
 */
#define ORANGELOOM_ADVICE_FORBID_MAIN 8

/*
 Advice: open the precharge relay.
 */
#define ORANGELOOM_ADVICE_ABORT_PRECHARGE 16

/*
 Advice: ask for zero current and set `OrangeloomInputs.open` to `ORANGELOOM_OPEN_SOFTLY`.
 */
#define ORANGELOOM_ADVICE_OPEN_SOFTLY 32

/*
 Advice: open all contactors, unless `ORANGELOOM_ADVICE_DO_NOT_OPEN` stands too: go by
 `OrangeloomSummary.open_now`.
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
 Size of `OrangeloomFinding`, bytes.
 */
#define ORANGELOOM_FINDING_BYTES 20

/*
 Size of `OrangeloomSummary`, bytes. It stays the same in every version of the library.
 */
#define ORANGELOOM_SUMMARY_BYTES 12

/*
 Whether a function did what it was asked for. Only `ORANGELOOM_STATUS_OK`, and of
 `orangeloom_tick` `ORANGELOOM_STATUS_MORE_FINDINGS` too, mean that it did. Treat a
 number that is not listed here as an error.
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
   A size is not the one that this library expects: another header, too little memory,
   or more than there can be.
   */
  ORANGELOOM_STATUS_WRONG_SIZE = 2,
  /*
   A pointer does not point to where its type may begin, such as a multiple of four
   bytes for what holds a `uint32_t` or a `float`.
   */
  ORANGELOOM_STATUS_NOT_ALIGNED = 3,
  /*
   `orangeloom_monitors_prepare` did not succeed on this memory since the start of the
   program, or it was another build of the library.
   */
  ORANGELOOM_STATUS_NOT_PREPARED = 4,
  /*
   A number that has to be one of a list is none of it: a check, a state of a flag, a
   request to open, or something else than 0 or 1 where yes or no is asked.
   */
  ORANGELOOM_STATUS_UNKNOWN_VALUE = 5,
  /*
   There were more findings than fit: the first ones are there, the sum is of all.
   */
  ORANGELOOM_STATUS_MORE_FINDINGS = 6,
  /*
   What was kept over a restart is damaged, of another vehicle, or of another version of
   the library. Nothing is taken over, and closing is forbidden.
   */
  ORANGELOOM_STATUS_KEPT_DAMAGED = 7,
  /*
   Two pointers lead to the same bytes.
   */
  ORANGELOOM_STATUS_OVERLAP = 8,
  /*
   The image has no such contactor, current, conductor or part of a check.
   */
  ORANGELOOM_STATUS_NO_SUCH_PART = 9,
  /*
   Acknowledging does not clear this check: `OrangeloomFinding.reset` tells what does.
   */
  ORANGELOOM_STATUS_CLEARS_OTHERWISE = 10,
  /*
   The first tick is over; what was kept is taken over before it. Nothing is taken over:
   closing stays forbidden, unless it was permitted before.
   */
  ORANGELOOM_STATUS_TOO_LATE = 11,
  /*
   The program was compiled with the header of another version of the library.
   */
  ORANGELOOM_STATUS_OTHER_INTERFACE = 12,
  /*
   Another function works on this memory: it was called from an interrupt or another
   task meanwhile. Call all of them from one task, or lock.
   */
  ORANGELOOM_STATUS_BUSY = 13,
  /*
   The inputs were not made by `orangeloom_inputs_clear`: zero bytes count as a voltage of
   0 V that was measured just now, which would permit closing.
   */
  ORANGELOOM_STATUS_INPUTS_NOT_CLEARED = 14,
  /*
   What was kept over the restart was neither taken over nor said not to be there
   (`orangeloom_restore`, `orangeloom_start_without_store`): a record of now would lack the
   locks of what is stored.
   */
  ORANGELOOM_STATUS_NOT_RESTORED = 15,
  /*
   The image does not begin as one does.
   */
  ORANGELOOM_STATUS_IMAGE_MAGIC = 16,
  /*
   The image has another version than `orangeloom_image_version` gives, such as that of
   a newer program.
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
 Which check, with what `OrangeloomFinding.part`, `.measured` and `.limit` are of it. Where
 no part is named it is 0. A newer library may tell of more.
 */
enum OrangeloomCheck
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint8_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  /*
   Ticks come too late, or the clock stands still or steps back. Measured and limit: ms
   between two ticks.
   */
  ORANGELOOM_CHECK_TICK_LATE = 0,
  /*
   The voltage of a string is implausible, or differs from the link while closed. Part:
   string. Measured: of the string, V; limit: highest or lowest of the pack, or of the link,
   V.
   */
  ORANGELOOM_CHECK_SENSOR_PLAUSIBLE = 1,
  /*
   The link is charged before anything is closed. Measured and limit: V.
   */
  ORANGELOOM_CHECK_LINK_DEAD_BEFORE_CLOSE = 2,
  /*
   The link does not rise as it should. Part: precharge path. Measured: link, V; limit:
   expected, V.
   */
  ORANGELOOM_CHECK_PRECHARGE_RISE = 3,
  /*
   The link stays near zero although the current flows. Part: precharge path. Measured: link,
   V; limit: V.
   */
  ORANGELOOM_CHECK_PRECHARGE_SHORT = 4,
  /*
   No current flows into the link. Part: precharge path. Measured and limit: A.
   */
  ORANGELOOM_CHECK_PRECHARGE_OPEN = 5,
  /*
   A load holds the link below the voltage at which it may close. Part: precharge path.
   Measured and limit: V/s.
   */
  ORANGELOOM_CHECK_PRECHARGE_LOAD = 6,
  /*
   The relay is closed for too long. Part: precharge path. Measured and limit: ms.
   */
  ORANGELOOM_CHECK_PRECHARGE_TIME_OUT = 7,
  /*
   The precharge resistor has to cool. Part: precharge path. Measured: heat in it with
   another try, in tries; limit: tries that it stands.
   */
  ORANGELOOM_CHECK_PRECHARGE_BUDGET = 8,
  /*
   The main contactor may not close yet. Part: string. Measured: voltage across it, V; limit:
   V.
   */
  ORANGELOOM_CHECK_CLOSE_PERMISSION = 9,
  /*
   A contactor did not close. Part: contactor. No values.
   */
  ORANGELOOM_CHECK_MAIN_CLOSE_VERIFY = 10,
  /*
   A contactor did not open. Part: contactor. Measured: link, V; limit: voltage at which it
   counts as not fallen, V.
   */
  ORANGELOOM_CHECK_WELD = 11,
  /*
   A contactor was opened with current in it. Part: contactor. Measured and limit: A.
   */
  ORANGELOOM_CHECK_OPEN_UNDER_LOAD = 12,
  /*
   Opening waits for the current to go. Measured and limit: A.
   */
  ORANGELOOM_CHECK_SOFT_OPEN = 13,
  /*
   More than the lasting current for long. Part: current. Measured and limit: A.
   */
  ORANGELOOM_CHECK_OVERCURRENT_BAND = 14,
  /*
   More current than a contactor breaks. Part: contactor. Measured and limit: A.
   */
  ORANGELOOM_CHECK_DO_NOT_OPEN_BAND = 15,
  /*
   A string carries another share than it should. Part: string. Measured: A; limit: expected,
   A.
   */
  ORANGELOOM_CHECK_STRING_SHARE = 16,
  /*
   Strings differ too much to be joined. Part: string. Measured: voltage across its
   contactor, V; limit: V.
   */
  ORANGELOOM_CHECK_STRING_JOIN = 17,
  /*
   Joined strings differ. Part: string. Measured and limit: V against the link.
   */
  ORANGELOOM_CHECK_STRING_DRIFT = 18,
  /*
   Isolation resistance is low. Part: 0 is the warning, 1 the alarm. Measured and limit: ohm.
   */
  ORANGELOOM_CHECK_ISOLATION_LOW = 19,
  /*
   Isolation resistance is not known. Measured: ohm, NaN where there is none; no limit.
   */
  ORANGELOOM_CHECK_ISOLATION_STALE = 20,
  /*
   The interlock loop is open. Measured: speed, km/h; limit: speed below which it leads to
   opening, km/h.
   */
  ORANGELOOM_CHECK_INTERLOCK_OPEN = 21,
  /*
   The link is charged long after opening. Measured and limit: V.
   */
  ORANGELOOM_CHECK_HIGH_VOLTAGE_AFTER_OFF = 22,
  /*
   The active discharge works against the pack. Measured and limit: V.
   */
  ORANGELOOM_CHECK_DISCHARGE_ON_PACK = 23,
  /*
   The supply of the coils is too low. Measured and limit: V.
   */
  ORANGELOOM_CHECK_COIL_DIP = 24,
  /*
   The precharge resistor is hot. Measured and limit: degC.
   */
  ORANGELOOM_CHECK_RESISTOR_HOT = 25,
  /*
   A joint is hot, or hotter than its twin. Part: pair of joints. Measured and limit: degC,
   or K where the difference is what does not hold.
   */
  ORANGELOOM_CHECK_JOINT_HOT = 26,
  /*
   A conductor is hot by its current. Part: conductor. Measured and limit: degC.
   */
  ORANGELOOM_CHECK_CONDUCTOR_HOT = 27,
  /*
   The vehicle moves, or torque is requested, while it is plugged. Measured and limit: km/h.
   */
  ORANGELOOM_CHECK_PLUG_MOVES = 28,
  /*
   A fuse took a pulse that ages it. Part: current. Measured and limit: share of its melting
   integral, 0 to 1.
   */
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
   It does not hold, but not for long enough yet: no advice follows.
   */
  ORANGELOOM_STATE_WATCHING = 0,
  /*
   It does not hold: follow the advice.
   */
  ORANGELOOM_STATE_FOUND = 1,
  /*
   It holds again, but what clears it has not come yet: the advice stands.
   */
  ORANGELOOM_STATE_CLEARING = 2,
  /*
   An input cannot be used: follow the advice.
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
   Not measured, or NaN.
   */
  ORANGELOOM_UNUSABLE_NOT_A_NUMBER = 1,
  /*
   Outside what the sensor shows by the limits.
   */
  ORANGELOOM_UNUSABLE_OUT_OF_RANGE = 2,
  /*
   Older than the limits allow.
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
   A new start (`OrangeloomInputs.start` from 0 to 1) when the cause is gone.
   */
  ORANGELOOM_RESET_START = 1,
  /*
   `orangeloom_acknowledge`, by somebody who looked after it.
   */
  ORANGELOOM_RESET_ACKNOWLEDGE = 2,
  /*
   Waiting, as for something to cool.
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
 What an image is of. Compare it at start with the vehicle that the program is for.
 */
typedef struct OrangeloomImage {
  /*
   Checksum of all that the design states; `orangeloom limits` prints it.
   */
  uint32_t fingerprint;
  /*
   Revision of the design, printable ASCII closed by a zero; empty where it states none.
   */
  uint8_t revision[ORANGELOOM_REVISION_BYTES];
  /*
   Why the image was made although the review of the design did not pass, printable
   ASCII closed by a zero; empty where it passed. Show it at every start.
   */
  uint8_t reason[ORANGELOOM_REASON_BYTES];
  /*
   How many strings (batteries in parallel) there are, 1 to `ORANGELOOM_MAX_STRINGS`.
   */
  uint8_t strings;
  /*
   How many currents have to be measured, up to `ORANGELOOM_MAX_CURRENTS`.
   */
  uint8_t currents;
  /*
   How many contactors there are, precharge relays counted, up to
   `ORANGELOOM_MAX_CONTACTORS`.
   */
  uint8_t contactors;
  /*
   How many conductors are watched.
   */
  uint8_t conductors;
} OrangeloomImage;

/*
 A measured value with its age.
 */
typedef struct OrangeloomSignal {
  /*
   The value, in the unit that its place states. NaN counts as not measured; a value
   outside the range of the sensor in the limits, infinity too, cannot be used either.
   Send what a sensor shows at the end of its range as it is, never clipped below it.
   */
  float value;
  /*
   Milliseconds since it was measured, not since it was sent or received: add the delay of
   sensor and bus. `UINT32_MAX` where it is not known. Older than the limits allow cannot
   be used. What is computed as `now - stamp` has to be clamped: see the head of
   this header.
   */
  uint32_t age_ms;
} OrangeloomSignal;

/*
 Something that is on or off, with its age.
 */
typedef struct OrangeloomFlag {
  /*
   One of `ORANGELOOM_FLAG_...`; anything else has the whole tick refused.
   */
  uint8_t state;
  /*
   Milliseconds since it was read; as of `OrangeloomSignal.age_ms`.
   */
  uint32_t age_ms;
} OrangeloomFlag;

/*
 A contactor as the controller sees it.
 */
typedef struct OrangeloomContactor {
  /*
   1 while its coil is switched on, else 0. What is driven now, not what is wished.
   */
  uint8_t commanded;
  /*
   What its auxiliary contact tells: on is closed. It is not looked at where the image
   states that none is read (`orangeloom limits --show` lists which).
   */
  struct OrangeloomFlag contact;
} OrangeloomContactor;

/*
 Temperatures of the same joint of both poles, degC.
 */
typedef struct OrangeloomJointPair {
  /*
   1 if both are measured on this vehicle, else 0. Decide once, never while it drives.
   */
  uint8_t fitted;
  /*
   Of the positive pole, degC, -60 to 1000.
   */
  struct OrangeloomSignal positive;
  /*
   Of the negative pole, degC, -60 to 1000.
   */
  struct OrangeloomSignal negative;
} OrangeloomJointPair;

/*
 Everything that the monitors look at in one tick. Fill it with `orangeloom_inputs_clear`
 in every tick, then with what was measured: what is left out counts as not measured. Not
 with `= {0}` or `memset`: zero bytes would be 0 V and 0 A that were measured just now, and
 a tick with them is refused.

 `orangeloom limits DESIGN --show` lists which string, current and contactor has which
 place, and the header of an image names them. Places that the image does not have are not looked at, but each byte that is yes
 or no, or one of a list, has to be valid in them too.
 */
typedef struct OrangeloomInputs {
  /*
   `orangeloom_inputs_clear` writes it; leave it alone. With anything else in it the whole
   tick is refused with `ORANGELOOM_STATUS_INPUTS_NOT_CLEARED`.
   */
  uint32_t cleared;
  /*
   Voltage of each string ahead of its fuse and contactors, V, positive against negative.
   */
  struct OrangeloomSignal string_voltage[ORANGELOOM_MAX_STRINGS];
  /*
   Voltage of the link behind the contactors, V, positive against negative.
   */
  struct OrangeloomSignal link_voltage;
  /*
   Each current of the image in its order, A. Discharge (out of a battery, into a load)
   counts positive, charging negative.
   */
  struct OrangeloomSignal current[ORANGELOOM_MAX_CURRENTS];
  /*
   Each contactor of the image in its order.
   */
  struct OrangeloomContactor contactor[ORANGELOOM_MAX_CONTACTORS];
  /*
   Isolation resistance as the isolation monitor tells it, ohm (not ohm per volt).
   */
  struct OrangeloomSignal isolation;
  /*
   The interlock loop: on is closed.
   */
  struct OrangeloomFlag interlock;
  /*
   Something is plugged into the charging inlet: on is plugged.
   */
  struct OrangeloomFlag plugged;
  /*
   Speed, km/h; backwards may be negative. One that cannot be used counts as moving, for less
   is opened then, and is told: `ORANGELOOM_CHECK_PLUG_MOVES` is blind. A vehicle that is
   known to be plugged counts as parked all the same.
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
   Temperature of the precharge resistor, degC, -60 to 1000.
   */
  struct OrangeloomSignal resistor;
  /*
   Pairs of joints whose temperatures are watched.
   */
  struct OrangeloomJointPair joint[ORANGELOOM_MAX_JOINTS];
  /*
   1 while torque is requested, else 0.
   */
  uint8_t torque;
  /*
   1 while the active discharge of the link is switched on, else 0.
   */
  uint8_t discharging;
  /*
   1 while a start is asked for, as by a key, else 0. Its change from 0 to 1 is what
   counts, and not in the first tick.
   */
  uint8_t start;
  /*
   One of `ORANGELOOM_OPEN_...`; keep it until everything is open.
   */
  uint8_t open;
} OrangeloomInputs;

/*
 Memory of one vehicle. Declare it `static`, hand it to `orangeloom_monitors_prepare`, then
 to every other function; never look at its words, copy nothing into it, and let nothing
 else write there (a memory protection unit is the right guard).
 */
typedef struct OrangeloomMemory {
  /*
   Not to be looked at.
   */
  uint32_t words[ORANGELOOM_MONITORS_WORDS];
} OrangeloomMemory;

/*
 Counts since the parts were new. Each stops at 65535.
 */
typedef struct OrangeloomCounters {
  /*
   Openings under load of each contactor of the image, by the current in it: up to half
   of what it breaks; up to all of it; above; not known.
   */
  uint16_t openings[ORANGELOOM_MAX_CONTACTORS][4];
  /*
   Pulses of the fuse of each current of the image, by how much of its melting integral
   they took: from 30 %, from 50 %, from 80 %.
   */
  uint16_t pulses[ORANGELOOM_MAX_CURRENTS][3];
} OrangeloomCounters;

/*
 A check that does not hold.
 */
typedef struct OrangeloomFinding {
  /*
   Which check.
   */
  OrangeloomCheck check;
  /*
   Which contactor, string, current, precharge path, conductor or pair of joints, from 0
   in the order of the image; what it counts stands at each check.
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
   What to do: `ORANGELOOM_ADVICE_...`, added up. 0 while it is only watched.
   */
  uint16_t advice;
  /*
   How long it has been in this state, ms; stands still after six days.
   */
  uint32_t for_ms;
  /*
   What was measured, in the unit that stands at each check; NaN where nothing was.
   */
  float measured;
  /*
   What it is held against, in the same unit; NaN where it is held against nothing.
   */
  float limit;
} OrangeloomFinding;

/*
 Everything that was told in one tick, together. Go by this; the findings say why.
 */
typedef struct OrangeloomSummary {
  /*
   All advice together: `ORANGELOOM_ADVICE_...`, added up.
   */
  uint16_t advice;
  /*
   Strings whose positive main contactor may not close: bit 0 is the first string.
   */
  uint8_t held;
  /*
   Precharge paths whose relay may not close: bit 0 is the first path.
   */
  uint8_t hot;
  /*
   1 if something that is open may be closed, as far as `held` and `hot` allow it too;
   else 0. Ask it in the tick in which you close, never an earlier one.
   */
  uint8_t may_close;
  /*
   1 if all contactors are to be opened now: advised, and not more current than they break.
   */
  uint8_t open_now;
  /*
   How many checks do not hold, up to 255.
   */
  uint8_t found;
  /*
   How many checks have an input that cannot be used, up to 255; 255 where a tick was
   refused.
   */
  uint8_t blind;
  /*
   With `ORANGELOOM_ADVICE_DERATE`: the largest share of the lasting current to draw, 0
   to 1; else 1.
   */
  float derate;
} OrangeloomSummary;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

/*
 The version of the interface that the library was built with: has to be
 `ORANGELOOM_INTERFACE_VERSION` of the header.
 */
uint32_t orangeloom_interface_version(void);

/*
 The version of the images that the library reads; it stands in bytes 4 and 5 of an image,
 the lower byte first.
 */
uint32_t orangeloom_image_version(void);

/*
 Reads and checks a whole image and says what it is of.

 `image`: `image_size` bytes as `orangeloom limits --out` or `--c-header` writes them, at
 any address. `facts`: where to write what it is of, with `facts_size` the size of
 `struct OrangeloomImage`; or null with 0, then the image is only checked.

 Gives `ORANGELOOM_STATUS_IMAGE_...` where the image is refused; then nothing is written.
 */
OrangeloomStatus orangeloom_image_check(const uint8_t *image,
                                        size_t image_size,
                                        struct OrangeloomImage *facts,
                                        size_t facts_size);

/*
 The size of `OrangeloomImage` that this library expects, bytes.
 */
size_t orangeloom_image_size(void);

/*
 Fills inputs, whatever they were, so that nothing counts as measured and nothing as commanded, asked for or
 requested. Interlock, plug and auxiliary contacts count as fitted but not known; resistor
 and joints as not measured on this vehicle.

 `size`: the size of `struct OrangeloomInputs`.
 */
OrangeloomStatus orangeloom_inputs_clear(struct OrangeloomInputs *inputs,
                                         size_t size);

/*
 The size of `OrangeloomInputs` that this library expects, bytes.
 */
size_t orangeloom_inputs_size(void);

/*
 Where inputs have to begin: at a multiple of so many bytes.
 */
size_t orangeloom_inputs_alignment(void);

/*
 Reads an image into the caller's memory and begins with nothing seen: no check has held
 yet, so nothing may be closed at first. Call it at every start of the program, and again
 for another image. Every tick forbids closing until `orangeloom_restore` succeeds or
 `orangeloom_start_without_store` is called, whatever was so before.

 `interface_version`: `ORANGELOOM_INTERFACE_VERSION` of the header you compile with.
 `memory`, `memory_size`: memory for one vehicle and its size. `image`, `image_size`: as of
 `orangeloom_image_check`; it is copied, and need not stay.

 If this fails keep everything open. Memory that was prepared before is not prepared any
 more then, unless it is the memory itself that is refused.
 */
OrangeloomStatus orangeloom_monitors_prepare(uint32_t interface_version,
                                             struct OrangeloomMemory *memory,
                                             size_t memory_size,
                                             const uint8_t *image,
                                             size_t image_size);

/*
 Somebody looked after the cause of a finding. Clears only what waits for that
 (`OrangeloomFinding.reset` is `ORANGELOOM_RESET_ACKNOWLEDGE`); what still does not hold is
 found again. Never call it without a person who decided so.

 `check`: one of `OrangeloomCheck`, as in `OrangeloomFinding.check`. `part`: as in
 `OrangeloomFinding.part`.

 `ORANGELOOM_STATUS_OK` where nothing was found of it, too. Nothing is cleared with
 `ORANGELOOM_STATUS_UNKNOWN_VALUE` (no such check), `ORANGELOOM_STATUS_NO_SUCH_PART` or
 `ORANGELOOM_STATUS_CLEARS_OTHERWISE`.
 */
OrangeloomStatus orangeloom_acknowledge(struct OrangeloomMemory *memory,
                                        size_t memory_size,
                                        uint8_t check,
                                        uint8_t part);

/*
 Writes what has to outlast a restart (counters, locks, heat, overloads) into `kept`, and
 its length, bytes, to `kept_size`. Store both, with a copy that a loss of power while
 writing cannot damage. Do it
   - when the vehicle is switched off,
   - whenever a finding with `ORANGELOOM_ADVICE_FORBID_CLOSING` or with
     `ORANGELOOM_RESET_ACKNOWLEDGE` or `ORANGELOOM_RESET_START` comes or goes,
   - at least every few seconds while `ORANGELOOM_CHECK_OVERCURRENT_BAND` or
     `ORANGELOOM_CHECK_CONDUCTOR_HOT` is told: after a brown-out a conductor is taken for as
     warm, and an overload for as far gone, as what was stored says, not as they were.

 `capacity`: bytes of room at `kept`, at least `ORANGELOOM_KEPT_BYTES`.

 `ORANGELOOM_STATUS_NOT_RESTORED` before `orangeloom_restore` or
 `orangeloom_start_without_store`: a record of then has no locks and must not take the place
 of the one that is stored. Nothing is written.
 */
OrangeloomStatus orangeloom_keep(struct OrangeloomMemory *memory,
                                 size_t memory_size,
                                 uint8_t *kept,
                                 size_t capacity,
                                 size_t *kept_size);

/*
 Takes over what `orangeloom_keep` wrote before the restart: `kept_size` bytes at `kept`.
 Call it after `orangeloom_monitors_prepare`, before the first `orangeloom_tick`; later it
 gives `ORANGELOOM_STATUS_TOO_LATE`.

 If it fails nothing is taken over and locks, such as that of a welded contactor, may be
 lost: every tick forbids closing, though no finding says why. Try another copy if there is
 one, else have somebody look at the vehicle; `orangeloom_start_without_store` is for his
 decision. A record that is damaged or of another vehicle forbids closing again after an
 earlier one was taken over, too. Where nothing was ever kept, as with a new controller, call
 `orangeloom_start_without_store` instead.
 */
OrangeloomStatus orangeloom_restore(struct OrangeloomMemory *memory,
                                    size_t memory_size,
                                    const uint8_t *kept,
                                    size_t kept_size);

/*
 The vehicle starts without what was kept: closing is no longer forbidden for it. Call it
 where nothing was ever kept, as with a new controller, or when somebody has looked after
 everything that a lock may have been about, a welded contactor above all, and decided so;
 then also after the first tick. Never because `orangeloom_restore` gave an error: that is
 the case which closing is forbidden for. Nothing else is changed; after
 `orangeloom_restore` succeeded it does nothing.
 */
OrangeloomStatus orangeloom_start_without_store(struct OrangeloomMemory *memory,
                                                size_t memory_size);

/*
 What wears, since the parts were new. `counters_size`: the size of
 `struct OrangeloomCounters`. It may be called at any time after
 `orangeloom_monitors_prepare`.
 */
OrangeloomStatus orangeloom_counters(struct OrangeloomMemory *memory,
                                     size_t memory_size,
                                     struct OrangeloomCounters *counters,
                                     size_t counters_size);

/*
 A contactor was replaced: its openings are counted anew. `contactor`: its place in the
 image, from 0; `ORANGELOOM_STATUS_NO_SUCH_PART` where the image has none there.
 */
OrangeloomStatus orangeloom_contactor_replaced(struct OrangeloomMemory *memory,
                                               size_t memory_size,
                                               uint8_t contactor);

/*
 The fuse of a current was replaced: its pulses are counted anew. `current`: the place of
 the current in the image, from 0; `ORANGELOOM_STATUS_NO_SUCH_PART` where the image has
 none there, or no fuse is known in it.
 */
OrangeloomStatus orangeloom_fuse_replaced(struct OrangeloomMemory *memory,
                                          size_t memory_size,
                                          uint8_t current);

/*
 Writes the reckoned temperature of a conductor, degC, to `degc`; NaN before the first
 tick. `conductor`: its place in the image, from 0; `ORANGELOOM_STATUS_NO_SUCH_PART` where
 the image has none there. It says nothing of a loose joint.
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
 The size of `OrangeloomCounters` that this library expects, bytes.
 */
size_t orangeloom_counters_size(void);

/*
 Looks at everything once, and advises. Call it every 10 ms or so, never less often than
 the limits state.

 `now_ms`: a clock of milliseconds that runs evenly and may wrap; ten seconds at most are
 counted since the tick before. `inputs`: what was
 measured and commanded, with `inputs_size` the size of `struct OrangeloomInputs`.
 `findings`: room for `capacity` findings; each check that does not hold is written there,
 their number to `found`. It may be null with a capacity of 0. `summary`: where the sum of
 all of them is written, of those without room too.

 `ORANGELOOM_STATUS_OK`: everything is written. `ORANGELOOM_STATUS_MORE_FINDINGS`: as much
 as there was room for, and the whole sum; that cannot happen with a capacity of
 `ORANGELOOM_MAX_FINDINGS`. Any other status: the tick did not happen, 0 is written to
 `found`, and a sum that forbids all closing and charging and advises half the lasting
 current to `summary`, each unless its pointer is null, misaligned or leads into `memory`.
 Then close nothing, warn the driver, and stop on your own account if it goes on; the sum
 does not tell you to open, for nothing is known about the current.
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
 The size of `OrangeloomFinding` that this library expects, bytes.
 */
size_t orangeloom_finding_size(void);

/*
 The size of `OrangeloomSummary` that this library expects, bytes.
 */
size_t orangeloom_summary_size(void);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* ORANGELOOM_H */

#ifndef ORANGELOOM_SIZES
#define ORANGELOOM_SIZES
/* The sizes in the library. Where one does not compile, packing or padding is set otherwise. */
#if defined(__cplusplus)
#define ORANGELOOM_SAME(name, same) static_assert(same, #name)
#elif defined(__STDC_VERSION__) && __STDC_VERSION__ >= 201112L
#define ORANGELOOM_SAME(name, same) _Static_assert(same, #name)
#else
#define ORANGELOOM_SAME(name, same) typedef char orangeloom_same_##name[(same) ? 1 : -1]
#endif
ORANGELOOM_SAME(float, sizeof(float) == 4);
ORANGELOOM_SAME(status, sizeof(OrangeloomStatus) == 1);
ORANGELOOM_SAME(check, sizeof(OrangeloomCheck) == 1);
ORANGELOOM_SAME(memory, sizeof(struct OrangeloomMemory) == 4 * ORANGELOOM_MONITORS_WORDS);
ORANGELOOM_SAME(image, sizeof(struct OrangeloomImage) == ORANGELOOM_IMAGE_BYTES);
ORANGELOOM_SAME(inputs, sizeof(struct OrangeloomInputs) == ORANGELOOM_INPUTS_BYTES);
ORANGELOOM_SAME(finding, sizeof(struct OrangeloomFinding) == ORANGELOOM_FINDING_BYTES);
ORANGELOOM_SAME(summary, sizeof(struct OrangeloomSummary) == ORANGELOOM_SUMMARY_BYTES);
ORANGELOOM_SAME(counters, sizeof(struct OrangeloomCounters) == ORANGELOOM_COUNTERS_BYTES);
#undef ORANGELOOM_SAME
#endif  /* ORANGELOOM_SIZES */
