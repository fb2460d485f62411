# Writes embedded.S (each file's bytes by .incbin) and embedded.cpp (the table of them), only when they change.
# -DFILES="symbol|/path|type|/absolute/file;..."  -DOUTPUT_DIR=...
set(assembly "    .section .note.GNU-stack,\"\",@progbits\n    .section .rodata\n")
set(declarations "")
set(rows "")
foreach(entry ${FILES})
    string(REPLACE "|" ";" parts "${entry}")
    list(GET parts 0 symbol)
    list(GET parts 1 path)
    list(GET parts 2 type)
    list(GET parts 3 file)
    string(APPEND assembly "    .global ${symbol}_begin\n    .global ${symbol}_end\n${symbol}_begin:\n    .incbin \"${file}\"\n${symbol}_end:\n    .byte 0\n")
    string(APPEND declarations "extern \"C\" const char ${symbol}_begin[];\nextern \"C\" const char ${symbol}_end[];\n")
    if(type MATCHES "^text/")
        string(APPEND type "; charset=utf-8")
    endif()
    string(APPEND rows "        {\"${path}\", \"${type}\", between(${symbol}_begin, ${symbol}_end)},\n")
endforeach()
file(CONFIGURE OUTPUT ${OUTPUT_DIR}/embedded.S CONTENT "@assembly@" @ONLY)
file(CONFIGURE OUTPUT ${OUTPUT_DIR}/embedded.cpp CONTENT "// Made by firmware-sim/embed.cmake.
#include \"firmware-sim/panel/assets.hpp\"

@declarations@
namespace ampturn::sim {
namespace {

std::string_view between(const char* begin, const char* end) { return {begin, static_cast<std::size_t>(end - begin)}; }

}  // namespace

std::span<const Asset> assets() {
    static const Asset all[] = {
@rows@    };
    return all;
}

const Asset* asset_at(std::string_view path) {
    for (const Asset& asset : assets()) {
        if (asset.path == path) return &asset;
    }
    return nullptr;
}

}  // namespace ampturn::sim
" @ONLY)
