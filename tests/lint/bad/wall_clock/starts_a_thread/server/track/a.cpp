std::thread t{[] {}};
