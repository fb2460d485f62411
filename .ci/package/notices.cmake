# Run at build time: writes third-party-notices.txt, docs/third_party.md with the texts behind it of what is inside the programs:
# -DPAGE=... -DNPM=folder of node_modules -DOUTPUT=... Of the page's table these are the rows "compiled into", "built into" and
# "inside", the paths in the last column; Boost's licence asks for no notice with programs.
file(READ ${PAGE} page)
set(text "${page}")
string(REGEX MATCHALL "\n\\|[^\n]*\\| (compiled into|built into|inside) [^\n]*" rows "${page}")
list(FILTER rows EXCLUDE REGEX "\\| BSL-1.0 \\|")
string(REGEX MATCHALL "(/usr/share/doc/[^ ,|]+|build/npm/node_modules/[^ ,|]+)" paths "${rows}")
list(REMOVE_DUPLICATES paths)
foreach(path IN LISTS paths)
    string(REPLACE "build/npm/node_modules" "${NPM}" file "${path}")
    if(NOT EXISTS "${file}")
        message(FATAL_ERROR "${file}: not there, but its text goes with the programs")
    endif()
    file(READ "${file}" read)
    string(STRIP "${read}" read)
    string(APPEND text "\n\n==== ${path} ====\n\n${read}\n")
endforeach()
file(WRITE ${OUTPUT} "${text}")
