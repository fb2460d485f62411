/* Cortex-M4: vector table, memory set-up, and the semihosting call (Arm "Semihosting for AArch32 and AArch64",
   BKPT 0xAB on M-profile). Everything that is not reset stops the program with an error. */
    .syntax unified
    .cpu cortex-m4
    .thumb

    .section .vectors, "a"
    .align 2
    .word   stack_top
    .word   reset_handler
    .rept   14
    .word   fault_handler
    .endr

    .text
    .thumb_func
    .global reset_handler
    .type reset_handler, %function
reset_handler:
    /* .data from its load address, .bss to zero */
    ldr     r0, =data_start
    ldr     r1, =data_end
    ldr     r2, =data_load
1:  cmp     r0, r1
    bhs     2f
    ldr     r3, [r2], #4
    str     r3, [r0], #4
    b       1b
2:  ldr     r0, =bss_start
    ldr     r1, =bss_end
    movs    r2, #0
3:  cmp     r0, r1
    bhs     4f
    str     r2, [r0], #4
    b       3b
4:  bl      main
    bl      semihosting_exit

    .thumb_func
    .global fault_handler
    .type fault_handler, %function
fault_handler:
    movs    r0, #2          /* exit status 2: a fault or a broken precondition */
    bl      semihosting_exit

    /* std::int32_t semihosting(operation, argument block or value) */
    .thumb_func
    .global semihosting
    .type semihosting, %function
semihosting:
    bkpt    0xAB
    bx      lr

    /* does not return; r0: exit status */
    .thumb_func
    .global semihosting_exit
    .type semihosting_exit, %function
semihosting_exit:
    sub     sp, #8
    ldr     r1, =0x20026    /* ADP_Stopped_ApplicationExit */
    str     r1, [sp]
    str     r0, [sp, #4]
    mov     r1, sp
    movs    r0, #0x20       /* SYS_EXIT_EXTENDED */
    bkpt    0xAB
5:  b       5b
