// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/palette.h"

#include <math.h>

static const pc_colour colours[PC_INK_COUNT] = {
    [PC_INK_NONE] = {255, 255, 255},
    /* Okabe & Ito */
    [PC_INK_BLACK] = {0, 0, 0},
    [PC_INK_ORANGE] = {230, 159, 0},
    [PC_INK_SKY] = {86, 180, 233},
    [PC_INK_GREEN] = {0, 158, 115},
    [PC_INK_YELLOW] = {240, 228, 66},
    [PC_INK_BLUE] = {0, 114, 178},
    [PC_INK_VERMILION] = {213, 94, 0},
    [PC_INK_PURPLE] = {204, 121, 167},
    /* greys */
    [PC_INK_WHITE] = {255, 255, 255},
    [PC_INK_GREY] = {80, 80, 80},
    [PC_INK_LINE] = {150, 150, 150},
    [PC_INK_PALE] = {240, 240, 236},
    /* their blue, mixed with white and, the last, with black */
    [PC_INK_SNOW_1] = {222, 236, 246},
    [PC_INK_SNOW_2] = {171, 208, 232},
    [PC_INK_SNOW_3] = {102, 170, 209},
    [PC_INK_SNOW_4] = {20, 110, 166},
    [PC_INK_SNOW_5] = {0, 68, 110},
};

pc_colour pc_ink_colour(pc_ink ink) {
  return colours[ink];
}

static const pc_phase_look phases[PC_PHASE_COUNT] = {
    [PC_PHASE_FILL] = {"push",
                       {PC_INK_BLUE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                       {PC_INK_NONE, PC_HATCH_NONE, PC_INK_BLUE, PC_DASH_NONE, 1.1},
                       0,
                       1},
    [PC_PHASE_CLEAN_UP] = {"clean up",
                           {PC_INK_SKY, PC_HATCH_UP, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                           {PC_INK_NONE, PC_HATCH_NONE, PC_INK_SKY, PC_DASH_NONE, 0.6},
                           0,
                           0.75},
    [PC_PHASE_CARRY] = {"carry",
                        {PC_INK_ORANGE, PC_HATCH_DOWN, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                        {PC_INK_NONE, PC_HATCH_NONE, PC_INK_VERMILION, PC_DASH_LONG, 0.6},
                        0,
                        0.55},
    [PC_PHASE_RETURN] = {"return",
                         {PC_INK_WHITE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                         {PC_INK_NONE, PC_HATCH_NONE, PC_INK_GREEN, PC_DASH_DOTS, 0.6},
                         0,
                         0.18},
    [PC_PHASE_TURN] = {"turn",
                       {PC_INK_GREEN, PC_HATCH_LEVEL, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                       {PC_INK_NONE, PC_HATCH_NONE, PC_INK_NONE, PC_DASH_NONE, 0},
                       0,
                       0.35},
    [PC_PHASE_DUMP] = {"dump",
                       {PC_INK_VERMILION, PC_HATCH_CROSS, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                       {PC_INK_NONE, PC_HATCH_NONE, PC_INK_VERMILION, PC_DASH_NONE, 1.1},
                       0.45,
                       1},
    [PC_PHASE_WAIT] = {"wait",
                       {PC_INK_YELLOW, PC_HATCH_GRID, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                       {PC_INK_NONE, PC_HATCH_NONE, PC_INK_NONE, PC_DASH_NONE, 0},
                       0,
                       1},
    [PC_PHASE_LOWER] = {"lower",
                        {PC_INK_PURPLE, PC_HATCH_UPRIGHT, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                        {PC_INK_NONE, PC_HATCH_NONE, PC_INK_NONE, PC_DASH_NONE, 0},
                        0.78,
                        1},
    [PC_PHASE_RAISE] = {"raise",
                        {PC_INK_PURPLE, PC_HATCH_UPRIGHT, PC_INK_BLACK, PC_DASH_NONE, 0.5},
                        {PC_INK_NONE, PC_HATCH_NONE, PC_INK_NONE, PC_DASH_NONE, 0},
                        0.78,
                        1},
    [PC_PHASE_IDLE] = {"idle",
                       {PC_INK_PALE, PC_HATCH_NONE, PC_INK_LINE, PC_DASH_NONE, 0.5},
                       {PC_INK_NONE, PC_HATCH_NONE, PC_INK_NONE, PC_DASH_NONE, 0},
                       0,
                       0.1},
};

const pc_phase_look *pc_phase_look_of(pc_phase phase) {
  return &phases[phase];
}

pc_look pc_series_look(size_t n) {
  static const pc_look series[PC_SERIES_MAX] = {
      {PC_INK_BLUE, PC_HATCH_NONE, PC_INK_BLUE, PC_DASH_NONE, 1.4},
      {PC_INK_ORANGE, PC_HATCH_NONE, PC_INK_VERMILION, PC_DASH_LONG, 1.4},
      {PC_INK_GREEN, PC_HATCH_NONE, PC_INK_GREEN, PC_DASH_SHORT, 1.4},
      {PC_INK_WHITE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_DOTS, 1.4},
      {PC_INK_PURPLE, PC_HATCH_NONE, PC_INK_PURPLE, PC_DASH_MIXED, 1.4},
      {PC_INK_YELLOW, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.8},
  };
  return series[n % PC_SERIES_MAX];
}

/* A channel of sRGB to linear light. WCAG 2.1 has 0.03928 where IEC 61966-2-1 has 0.04045; for 8-bit values
 * both give the same. */
static double linear(int channel) {
  double share = channel / 255.0;
  return share <= 0.03928 ? share / 12.92 : pow((share + 0.055) / 1.055, 2.4);
}

/* Relative luminance, from WCAG 2.1 as well. */
static double luminance(pc_colour colour) {
  return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
}

double pc_contrast(pc_colour a, pc_colour b) {
  double one = luminance(a), other = luminance(b);
  return (fmax(one, other) + 0.05) / (fmin(one, other) + 0.05);
}
