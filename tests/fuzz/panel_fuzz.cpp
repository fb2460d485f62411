// libFuzzer target: bytes on the sockets of the unit's server, in one process and over the machine's own loopback. First byte, lowest
// bit: the port of the command language, or the panel's; next bit: bytes as they are, or a WebSocket that opens as it should, then
// frames of [operation and flags, length, text], masked as a browser masks them. Text frames arrive as they were sent, in order.
#include <algorithm>
#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/write.hpp>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "firmware-sim/net/server.hpp"
#include "tests/fuzz/accepted.hpp"

namespace {

using namespace ampturn;
using boost::asio::ip::tcp;

constexpr std::size_t frames_max = 40;  // below what the throttle lets through at once
constexpr const char* trainer_token = "trainertrainertrainer";

struct Unit {
    boost::asio::io_context io{1};
    sim::net::RequestQueue requests;
    sim::net::Server server;
    Unit()
        : server(io, requests,
                 {.scpi_port = 0,
                  .panel_port = 0,
                  .host_names = {},
                  .token = {},
                  .trainer_token = trainer_token}) {
        server.start();
    }
};

Unit& unit() {
    static Unit* const kept = new Unit;  // for the whole run
    return *kept;
}

/// Lets the server do what it can, and answers for the simulation; texts of panels that came.
void turn(std::vector<std::string>& texts) {
    using Kind = sim::record::SessionInput::Kind;
    for (int idle = 0; idle < 3;) {
        const std::size_t done = unit().io.poll();
        sim::record::SessionInput request;
        bool taken = false;
        while (unit().requests.take(request)) {
            taken = true;
            if (request.kind == Kind::panel) texts.push_back(request.text);
            if (request.kind == Kind::open)
                unit().server.send_to_panel(request.client, std::make_shared<const std::string>("{}"));
            if (request.kind == Kind::message || request.kind == Kind::overrun || request.kind == Kind::panel)
                unit().server.reply(request.client, request.kind == Kind::panel ? "" : "1\n", true);
        }
        idle = done > 0 || taken ? 0 : idle + 1;
    }
}

void send(tcp::socket& socket, const std::string& bytes, std::vector<std::string>& texts) {
    boost::system::error_code failed;
    boost::asio::write(socket, boost::asio::buffer(bytes), failed);
    turn(texts);
}

std::string handshake() {
    return "GET /ws?token=" + std::string(trainer_token) +
           " HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(unit().server.panel_port()) +
           "\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n";
}

/// RFC 6455, section 5.2.
std::string frame_of(unsigned first, std::string_view text, bool masked) {
    std::string frame(1, static_cast<char>(first));
    const unsigned mask_bit = masked ? 0x80u : 0;
    if (text.size() < 126) {
        frame += static_cast<char>(mask_bit | text.size());
    } else {
        frame += static_cast<char>(mask_bit | 126);
        frame += static_cast<char>(text.size() >> 8);
        frame += static_cast<char>(text.size() & 0xff);
    }
    constexpr std::array<unsigned char, 4> key{0x37, 0xfa, 0x21, 0x3d};
    if (masked) frame.append(reinterpret_cast<const char*>(key.data()), key.size());
    for (std::size_t i = 0; i < text.size(); ++i)
        frame += static_cast<char>(static_cast<unsigned char>(text[i]) ^ (masked ? key[i % 4] : 0));
    return frame;
}

/// Frames as the bytes ask for them. What must arrive: the texts of whole, masked text frames before the first of another kind.
void send_frames(tcp::socket& socket, std::string_view bytes, std::vector<std::string>& texts) {
    std::vector<std::string> expected;
    bool plain = true;
    for (std::size_t count = 0; count < frames_max && bytes.size() >= 2; ++count) {
        const auto first = static_cast<unsigned char>(bytes[0]);
        const bool masked = (first & 0x10) == 0;
        std::size_t length = static_cast<unsigned char>(bytes[1]);
        bytes.remove_prefix(2);
        length = std::min((first & 0x20) != 0 ? length * 20 : length, bytes.size());
        const std::string_view text = bytes.substr(0, length);
        bytes.remove_prefix(length);
        // Bit 6 asks for an operation other than whole text, so that most frames are whole text.
        const unsigned head = (first & 0x40) != 0 ? (first & 0x8fu) : 0x81u;
        const bool ascii = std::all_of(text.begin(), text.end(),
                                       [](char c) { return static_cast<unsigned char>(c) < 0x80; });
        plain = plain && head == 0x81u && masked && ascii && length <= sim::net::limits::panel_message_bytes;
        if (plain && text != R"({"alive":true})") expected.emplace_back(text);
        send(socket, frame_of(head, text, masked), texts);
    }
    fuzz::must(!plain || texts.size() == expected.size(), "every message of a panel arrives");
    for (std::size_t i = 0; i < std::min(texts.size(), expected.size()); ++i)
        fuzz::must(texts[i] == expected[i], "as it was sent, in order");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size < 2) return 0;
    const std::string_view bytes = fuzz::text_of_bytes(data + 1, size - 1);
    const bool panel = (data[0] & 1) == 0, frames = panel && (data[0] & 2) == 0;
    tcp::socket socket(unit().io);
    socket.connect({boost::asio::ip::address_v4::loopback(),
                    panel ? unit().server.panel_port() : unit().server.scpi_port()});
    socket.set_option(tcp::no_delay(true));  // what is written arrives before turn() looks
    socket.set_option(boost::asio::socket_base::linger(true, 0));  // leaves no closed connection waiting
    std::vector<std::string> texts;
    turn(texts);
    if (frames) {
        send(socket, handshake(), texts);
        send_frames(socket, bytes, texts);
    } else {
        const std::size_t half = bytes.size() / 2;
        send(socket, std::string(bytes.substr(0, half)), texts);
        send(socket, std::string(bytes.substr(half)), texts);
        fuzz::must(!panel || texts.empty() || bytes.find("websocket") != std::string_view::npos,
                   "no message without a WebSocket");
    }
    boost::system::error_code ignored;
    socket.close(ignored);
    turn(texts);
    return 0;
}
