#include "app/web/lanes.h"

#include <atomic>
#include <future>

#include <gmock/gmock.h>
#include <sys/socket.h>
#include <unistd.h>

#include "app/web/deadlines.h"

namespace lieflat::web {
namespace {

TEST(Lanes, SlowWorkDoesNotHoldUpQuick) {
  Lanes lanes(1);
  std::promise<void> gate, quick_done;
  auto opened = gate.get_future().share();
  ASSERT_TRUE(lanes.Put(Lane::kSlow, [opened] { opened.wait(); }));
  ASSERT_TRUE(lanes.Put(Lane::kQuick, [&] { quick_done.set_value(); }));
  quick_done.get_future().wait();  // hangs, and the test with it, if the slow one holds it up
  gate.set_value();
}

TEST(Lanes, AFullLaneSaysSo) {
  std::promise<void> gate;
  std::atomic<int> done{0};
  auto opened = gate.get_future().share();
  Lanes lanes(1, 3);
  std::promise<void> begun;
  ASSERT_TRUE(lanes.Put(Lane::kSlow, [&] {
    begun.set_value();
    opened.wait();
    ++done;
  }));
  begun.get_future().wait();
  for (int i = 0; i < 3; ++i) EXPECT_TRUE(lanes.Put(Lane::kSlow, [&] { ++done; }));
  EXPECT_FALSE(lanes.Put(Lane::kSlow, [&] { ++done; }));
  gate.set_value();
  lanes.Close();
  EXPECT_EQ(4, done);
  EXPECT_FALSE(lanes.Put(Lane::kQuick, [&] { ++done; }));
}

TEST(Deadlines, CutsWhoIsLateAndNobodyElse) {
  int late[2], held[2], extended[2];
  for (int* pair : {late, held, extended})
    ASSERT_EQ(0, ::socketpair(AF_UNIX, SOCK_STREAM, 0, pair));
  {
    Deadlines deadlines;
    deadlines.Open(&late, late[0], std::chrono::milliseconds(50));
    deadlines.Open(&held, held[0], std::chrono::milliseconds(50));
    deadlines.Hold(&held);
    deadlines.Open(&extended, extended[0], std::chrono::milliseconds(50));
    deadlines.Extend(&extended, std::chrono::hours(1));
    EXPECT_EQ(3U, deadlines.open());
    char byte = 0;
    EXPECT_EQ(0, ::read(late[1], &byte, 1));  // waits for the end
    EXPECT_EQ(1, ::write(held[0], "x", 1));
    EXPECT_EQ(1, ::read(held[1], &byte, 1));
    EXPECT_EQ(1, ::write(extended[0], "x", 1));
    for (const void* one :
         {static_cast<void*>(&late), static_cast<void*>(&held), static_cast<void*>(&extended)})
      deadlines.Closed(one);
    EXPECT_EQ(0U, deadlines.open());
  }
  for (int* pair : {late, held, extended}) {
    ::close(pair[0]);
    ::close(pair[1]);
  }
}

}  // namespace
}  // namespace lieflat::web
