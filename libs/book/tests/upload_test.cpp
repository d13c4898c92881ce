#include "endpin/book/upload.h"

#include "book_fixture.h"

namespace endpin::book {
namespace {

TEST(ContentHash, IsSha256) {
  // FIPS 180-4's example messages, as NIST publishes them.
  EXPECT_EQ(sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  ContentHash hash;
  hash.add("abcdbcdecdefdefgefghfghighijhijk");
  hash.add("ijkljklmklmnlmnomnopnopq");
  EXPECT_EQ(hash.hex(), "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

TEST(FileNames, AreMadePlain) {
  EXPECT_EQ(plain_file_name("../../etc/passwd"), "passwd");
  EXPECT_EQ(plain_file_name("C:\\Users\\x\\VID_0042.mp4"), "VID_0042.mp4");
  EXPECT_EQ(plain_file_name(".."), "file");
  EXPECT_EQ(plain_file_name(""), "file");
  EXPECT_EQ(plain_file_name("a\nb\r\x01.wav"), "ab.wav");
  const std::string umlauts(150, '\xc3');
  std::string name;
  for (int i = 0; i < 150; ++i) name += "\xc3\xa4";
  EXPECT_EQ(plain_file_name(name).size(), 200u);
  EXPECT_EQ(plain_file_name("x" + name).size(), 199u);  // no character is cut in half
}

TEST(FileNames, GiveAPlainExtension) {
  EXPECT_EQ(plain_extension("VID.MP4"), ".mp4");
  EXPECT_EQ(plain_extension("take"), "");
  EXPECT_EQ(plain_extension("x./../y"), "");
  EXPECT_EQ(plain_extension("x.averyverylongextension"), "");
}

class UploadTest : public BookTest {};

TEST_F(UploadTest, LargerThanTheLimitIsRefusedAndLeavesNothing) {
  {
    Upload up = need(book->upload(10));
    EXPECT_TRUE(up.write("12345").has_value());
    EXPECT_FALSE(up.write("678901").has_value());
  }
  EXPECT_TRUE(std::filesystem::is_empty(folder() / "incoming"));
}

TEST_F(UploadTest, ThatIsGivenUpLeavesNothing) {
  {
    Upload up = need(book->upload(100));
    need(up.write("half a take"));
    Upload moved = std::move(up);
  }
  EXPECT_TRUE(std::filesystem::is_empty(folder() / "incoming"));
}

}  // namespace
}  // namespace endpin::book
