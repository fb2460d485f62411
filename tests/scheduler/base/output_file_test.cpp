#include "scheduler/base/output_file.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <iterator>
#include <string>

#include "scheduler/base/input_error.hpp"
#include "tests/run_program.hpp"

namespace output_file_test {

using namespace ampturn::base;
using ampturn::test::read_whole_file;
using ampturn::test::ScratchDirectory;

long entries(const std::filesystem::path& directory) {
    return std::distance(std::filesystem::directory_iterator(directory),
                         std::filesystem::directory_iterator());
}

TEST(OutputFile, AppearsWholeAndReplaces) {
    const ScratchDirectory scratch;
    const std::string path = scratch.write("out.csv", "old");
    {
        OutputFile file(path);
        file.write("new ");
        file.write("text");
        EXPECT_EQ(read_whole_file(path), "old");
        file.commit();
    }
    EXPECT_EQ(read_whole_file(path), "new text");
    EXPECT_EQ(entries(scratch.path()), 1);
}

TEST(OutputFile, LeavesNothingWhenNotCommitted) {
    const ScratchDirectory scratch;
    {
        OutputFile file(scratch.file("out.csv"));
        file.write("half");
        EXPECT_EQ(entries(scratch.path()), 1);
    }
    EXPECT_EQ(entries(scratch.path()), 0);
}

TEST(OutputFile, ALinkIsReplacedAndNeverWrittenThrough) {
    const ScratchDirectory scratch;
    const std::string elsewhere = scratch.write("elsewhere", "mine"), path = scratch.file("out.csv");
    for (const std::string& target : {elsewhere, scratch.file("missing"), std::string("/dev/null")}) {
        std::filesystem::remove(path);
        std::filesystem::create_symlink(target, path);
        write_output_file(path, "text");
        EXPECT_TRUE(std::filesystem::is_regular_file(std::filesystem::symlink_status(path))) << target;
        EXPECT_EQ(read_whole_file(path), "text") << target;
    }
    EXPECT_EQ(read_whole_file(elsewhere), "mine");
    EXPECT_EQ(entries(scratch.path()), 2);
    write_output_file("/dev/stdout", "");  // a link of the system's own, to a stream of this program
}

TEST(OutputFile, FullDiskIsSaid) {
    try {
        write_output_file("/dev/full", "text");
        ADD_FAILURE();
    } catch (const InputError& error) {
        EXPECT_THAT(error.what(),
                    testing::HasSubstr("/dev/full: found nothing that can be written (No space left"));
    }
    OutputFile large("/dev/full");
    EXPECT_THROW(
        {
            for (int i = 0; i < 100; ++i) large.write(std::string(100'000, 'x'));
            large.commit();
        },
        InputError);
}

TEST(OutputFile, DevicesAreWrittenDirectly) {
    write_output_file("/dev/null", "text");
    EXPECT_TRUE(std::filesystem::is_character_file("/dev/null"));
}

TEST(OutputFile, RefusesADirectory) {
    const ScratchDirectory scratch;
    EXPECT_THROW(write_output_file(scratch.path().string(), "x"), InputError);
    EXPECT_THROW(write_output_file(scratch.file("no/such/folder/x"), "x"), InputError);
    EXPECT_EQ(entries(scratch.path()), 0);
}

TEST(OutputDirectory, IsMadeOrRefused) {
    const ScratchDirectory scratch;
    const std::string deep = scratch.file("a/b/c");
    make_output_directory(deep);
    EXPECT_TRUE(std::filesystem::is_directory(deep));
    EXPECT_EQ(entries(deep), 0);
    make_output_directory(deep);
    const std::string file = scratch.write("file", "x");
    EXPECT_THROW(make_output_directory(file), InputError);
    EXPECT_THROW(make_output_directory(file + "/below"), InputError);
    EXPECT_THROW(make_output_directory("/proc/self/fd"), InputError)
        << "no files can be made there, root or not";
}

TEST(OutputDirectory, WithoutPermissionIsRefused) {
    if (::geteuid() == 0) GTEST_SKIP() << "root writes where it has no permission to";
    const ScratchDirectory scratch;
    const std::string deep = scratch.file("a/b");
    make_output_directory(deep);
    std::filesystem::permissions(deep,
                                 std::filesystem::perms::owner_read | std::filesystem::perms::owner_exec);
    EXPECT_THROW(make_output_directory(deep), InputError);
}

}  // namespace output_file_test
