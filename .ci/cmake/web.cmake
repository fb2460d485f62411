# The build for browsers (and Node): the same C++ as WebAssembly, by Debian's emscripten.
# Exceptions are the machine's own and vectors its 128 bits; neither changes a value. The other builds judge the sources, so no
# compiler warns here.
# Vectors are only those the sources name: this compiler (clang 14) makes wrong ones of its own, silently, of sums in model/fields.
add_compile_options(-fwasm-exceptions -msimd128 -fno-slp-vectorize -fno-vectorize -w)
add_link_options(-fwasm-exceptions -O2 -sALLOW_MEMORY_GROWTH=1 -sMAXIMUM_MEMORY=2GB -sTOTAL_STACK=4MB)
