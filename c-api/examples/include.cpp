// The header in C++: everything the library gives, in one small program.
#include <cstdio>

#include "limits.h"
#include "orangeloom.h"

int main()
{
    static OrangeloomMemory memory;
    OrangeloomInputs inputs;
    OrangeloomSummary summary;
    size_t found = 0;

    if (orangeloom_inputs_clear(&inputs, sizeof inputs) != ORANGELOOM_STATUS_OK
        || orangeloom_monitors_prepare(ORANGELOOM_INTERFACE_VERSION, &memory, sizeof memory,
                                       orangeloom_limits, sizeof orangeloom_limits)
               != ORANGELOOM_STATUS_OK
        || orangeloom_start_without_store(&memory, sizeof memory) != ORANGELOOM_STATUS_OK) {
        return 1;
    }
    inputs.contactor[ORANGELOOM_CONTACTOR_K_PLUS].commanded = 0;
    const OrangeloomStatus status = orangeloom_tick(&memory, sizeof memory, 0, &inputs,
                                                    sizeof inputs, nullptr, 0, &found, &summary);
    // Nothing is measured: nothing may be closed.
    std::printf("status %d, may close %d, blind checks %d\n", static_cast<int>(status),
                summary.may_close, summary.blind);
    return summary.may_close != 0 || status != ORANGELOOM_STATUS_MORE_FINDINGS;
}
