auto t = std::chrono::system_clock::now();
