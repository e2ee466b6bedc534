#!/bin/bash
set -e
if true; then
