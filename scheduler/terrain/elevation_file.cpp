#include "scheduler/terrain/elevation_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"

namespace ampturn::terrain {

namespace {

constexpr std::size_t grid_bytes_max = 2'000'000'000;
constexpr const char* wanted = "an ESRI ASCII grid or a GeoTIFF of heights";

[[noreturn]] void refuse(const std::string& path, std::string found, std::string allowed) {
    throw base::InputError(base::InputProblem{
        .file = path, .position = {}, .key = "", .found = std::move(found), .allowed = std::move(allowed)});
}

/// TIFF 6.0 section 2 and BigTIFF: byte order, then 42 or 43; from memory.
bool is_tiff(std::string_view bytes) {
    using namespace std::string_view_literals;
    const std::string_view head = bytes.substr(0, 4);
    return head == "II*\0"sv || head == "MM\0*"sv || head == "II+\0"sv || head == "MM\0+"sv;
}

/// A folder of its own that goes away with all that is in it.
class TemporaryFolder {
  public:
    TemporaryFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "ampturn-XXXXXX").string();
        if (mkdtemp(name.data()) == nullptr)
            refuse(name, std::strerror(errno), "a place for temporary files");
        path_ = name;
    }
    ~TemporaryFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;

    std::string file(const char* name) const { return (path_ / name).string(); }

  private:
    std::filesystem::path path_;
};

/// Its exit code, what it says going into a file; nothing when there is no such program.
std::optional<int> run_program([[maybe_unused]] std::vector<std::string> words,
                               [[maybe_unused]] const std::string& said) {
#ifdef __EMSCRIPTEN__
    return std::nullopt;  // a browser runs no programs
#else
    std::vector<char*> arguments;
    for (std::string& word : words) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t files;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, said.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    posix_spawn_file_actions_adddup2(&files, STDOUT_FILENO, STDERR_FILENO);
    pid_t child = 0;
    const int failed = posix_spawnp(&child, arguments[0], &files, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&files);
    if (failed != 0) return std::nullopt;
    int status = 0;
    while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
    }
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
#endif
}

std::string first_line(const std::string& path) {
    const std::string text = base::read_input_file(path);
    return text.substr(0, std::min<std::size_t>(text.find('\n'), 200));
}

ElevationGrid read_tiff(const std::string& path, GridUnit unit) {
    const TemporaryFolder folder;
    const std::string grid = folder.file("grid.asc"), said = folder.file("said");
    const auto exit_code = run_program(
        {"gdal_translate", "-q", "-b", "1", "-of", "AAIGrid", std::filesystem::absolute(path).string(), grid},
        said);
    if (!exit_code || *exit_code == 127)
        refuse(path, "a GeoTIFF, and no program gdal_translate (GDAL) on this machine to read it with",
               "an ESRI ASCII grid, or GDAL installed");
    if (*exit_code != 0)
        refuse(path, fmt::format("a GeoTIFF that gdal_translate refuses: {}", first_line(said)), wanted);
    return parse_ascii_grid(base::read_input_file(grid, wanted, grid_bytes_max), path, unit);
}

}  // namespace

ElevationGrid read_elevation(const std::string& path, GridUnit unit) {
    const std::string bytes = base::read_input_file(path, wanted, grid_bytes_max);
    return is_tiff(bytes) ? read_tiff(path, unit) : parse_ascii_grid(bytes, path, unit);
}

}  // namespace ampturn::terrain
