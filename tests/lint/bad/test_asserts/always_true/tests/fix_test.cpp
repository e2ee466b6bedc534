TEST(Fix, Meets) { EXPECT_TRUE(true); }
