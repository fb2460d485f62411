#pragma once

#include <string_view>

namespace ampturn::sim::net {

/// Whether a line on the command language's port is a web browser's: a request line ("POST /x HTTP/1.1") or a header
/// ("Host: example"). Nothing of the language looks so. A page of another site can make a browser send these, and lines of
/// its own choice after them, so the connection ends there.
bool is_http_line(std::string_view line);

}  // namespace ampturn::sim::net
