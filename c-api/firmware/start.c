/* Start-up of the emulated board mps2-an386 (Cortex-M4F); semihosting prints. */
#include <stdint.h>
#include <stdlib.h>

extern uint32_t stack_top, data_from, data_begin, data_end, __bss_start__, __bss_end__;
extern void initialise_monitor_handles(void);
extern int main(void);

void reset(void)
{
    uint32_t *from = &data_from, *to;

    /* The floating-point unit, before any float is touched. */
    *(volatile uint32_t *)0xE000ED88u |= 0xFu << 20;
    __asm volatile("dsb\n isb");
    for (to = &data_begin; to < &data_end;) {
        *to++ = *from++;
    }
    for (to = &__bss_start__; to < &__bss_end__;) {
        *to++ = 0;
    }
    initialise_monitor_handles();
    exit(main());
}

static void fault(void)
{
    exit(3);
}

__attribute__((section(".vectors"), used)) static void *const vectors[] = {
    &stack_top, (void *)reset, (void *)fault, (void *)fault, (void *)fault, (void *)fault,
    (void *)fault,
};
