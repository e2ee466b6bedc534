#!/bin/bash
set -e
rm -f $(cat list)
