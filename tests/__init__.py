"""Tests of halfsplit; they mirror the three floors."""
