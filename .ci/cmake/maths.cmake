# The functions of <cmath> and <complex> that no standard rounds for all: exp, log, sin... The system's library picks them by
# the processor it runs on, so that last bits differ from machine to machine. Every program takes them from one library instead,
# plain double precision without fused multiply-add: musl's, as Debian's package musl-dev has it compiled. It goes to the linker
# before the system's, which is then not asked: tests/maths_test.py looks into the programs whether that is so.
string(REPLACE gnu musl musl_architecture "${CMAKE_LIBRARY_ARCHITECTURE}")
find_file(MUSL_LIBRARY libc.a PATHS /usr/lib/${musl_architecture} NO_DEFAULT_PATH REQUIRED)

set(functions exp exp2 expm1 log log2 log10 log1p pow sin cos sincos tan asin acos atan atan2 sinh cosh tanh asinh acosh atanh
              hypot cbrt erf lgamma lgamma_r tgamma cabs carg cexp clog csqrt)
set(what_they_call exp_data log_data log2_data pow_data __cexp __expo2 __sin __cos __tan __rem_pio2 __rem_pio2_large
                   __math_divzero __math_invalid __math_oflow __math_uflow __math_xflow scalbn signgam)
set(members ${functions} ${what_they_call})
list(TRANSFORM members APPEND .lo)
string(MD5 of_these "${members}")  # other functions are another library, and link the programs again
set(folder ${CMAKE_BINARY_DIR}/kept_maths/${of_these})
if(NOT EXISTS ${folder}/libkept_maths.a)
    file(MAKE_DIRECTORY ${folder})
    execute_process(COMMAND ${CMAKE_AR} x ${MUSL_LIBRARY} ${members} WORKING_DIRECTORY ${folder} COMMAND_ERROR_IS_FATAL ANY)
    execute_process(COMMAND ${CMAKE_AR} rcsD libkept_maths.a ${members} WORKING_DIRECTORY ${folder} COMMAND_ERROR_IS_FATAL ANY)
endif()
string(APPEND CMAKE_CXX_STANDARD_LIBRARIES " ${folder}/libkept_maths.a")
