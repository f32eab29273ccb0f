// SPDX-License-Identifier: GPL-3.0-or-later
// The search for the nearest combinations.
//
// Aims that go by none of the same dimensions are looked through apart, and their lists joined:
// scores are sums, and a sum is least where its parts are. Which dimensions an aim goes by is
// not known beforehand; the figures tell while they are worked out. So the search begins with
// what a few combinations show, and where any combination shows more, all is searched again
// with that. In the last round no figure read anything that was not known: then all that was
// left out would have had the same values.
//
// Within a group, dimensions are gone through one within the other, those first by which an aim
// is settled early. What is settled, and the work so far, only grows: where that is farther
// than the last of a full list, nothing behind it can come into the list.
#include "varied.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

/// What a score counts in: billionths, so that rounding never shows, and at most a million
/// tolerances squared for each aim, so that the sums of all stay whole.
#define SCORE_STEP     1e-9
#define SCORE_GREATEST 1e6
/// What is missed where a figure is absent: more than by any value.
#define SCORE_ABSENT ((uint64_t)2e15)

/// Most that is wanted: of an aim, and of ride heights that go without saying.
#define WANTED_MOST (PL_MOST_AIMS + PL_STANDING_MOST)

/// Parts into which a group is cut, so that threads have something each; the same however many
/// there are, so that the bounds are the same, too.
#define FEWEST_PARTS 48

// ---------------------------------------------------------------- scores

static uint64_t steps_of(double squares) {
  return (uint64_t)llround(fmin(squares, SCORE_GREATEST) / SCORE_STEP);
}

/// Adds what values at the places of an aim make of it.
static void add_aim(struct pl_score *score, const struct pl_wanted *wanted,
                    const double values[PL_AXLES]) {
  double off = 0;
  for (size_t i = 0; i < wanted->place_count; i++) {
    if (isnan(values[i])) {
      score->missed += SCORE_ABSENT;
      return;
    }
    off = fmax(off, fabs(values[i] - wanted->target) / wanted->tolerance);
  }
  const double beyond = fmax(0, off - 1);
  score->missed += steps_of(beyond * beyond);
  score->away += steps_of(off * off);
}

struct pl_score pl_score_of(struct pl_figures *figures, const struct pl_aim *aim) {
  struct pl_score score = {0};
  for (size_t i = 0; i < aim->count; i++) {
    double values[PL_AXLES];
    for (size_t j = 0; j < aim->wanted[i].place_count; j++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, aim->wanted[i].figure, aim->wanted[i].places[j]);
      values[j] = value->present ? value->value : NAN;
    }
    add_aim(&score, &aim->wanted[i], values);
  }
  return score;
}

static int compare_scores(const struct pl_score *a, const struct pl_score *b) {
  if (a->missed != b->missed) return a->missed < b->missed ? -1 : 1;
  if (a->work != b->work) return a->work < b->work ? -1 : 1;
  if (a->away != b->away) return a->away < b->away ? -1 : 1;
  return 0;
}

int pl_chosen_compare(const struct pl_chosen *a, const struct pl_chosen *b, size_t dimensions) {
  const int by_score = compare_scores(&a->score, &b->score);
  return by_score != 0 ? by_score : memcmp(a->ways, b->ways, dimensions);
}

// ---------------------------------------------------------------- the best so far

/// The best combinations in order. Of those that differ in preload alone, which is turned to
/// suit the rest, the best stands for all.
struct list {
  struct pl_chosen *items;
  size_t count;
  size_t most;
  const struct pl_space *space;
};

static struct list list_new(struct pl_arena *arena, size_t most, const struct pl_space *space) {
  return (struct list){.items = pl_alloc_array(arena, most, sizeof(struct pl_chosen)),
                       .most = most,
                       .space = space};
}

bool pl_chosen_alike(const struct pl_space *space, const struct pl_chosen *a,
                     const struct pl_chosen *b) {
  for (size_t d = 0; d < space->count; d++) {
    if (a->ways[d] != b->ways[d] && space->dimensions[d].kind != PL_VARY_PRELOAD) return false;
  }
  return true;
}

static int compare_in(const struct list *list, const struct pl_chosen *a,
                      const struct pl_chosen *b) {
  return pl_chosen_compare(a, b, list->space->count);
}

/// Takes the item out that the combination stands for or that has no room beside it. False
/// where the combination itself has no place.
static bool make_room(struct list *list, const struct pl_chosen *chosen) {
  size_t out = list->count;
  for (size_t i = 0; i < list->count && out == list->count; i++) {
    if (pl_chosen_alike(list->space, &list->items[i], chosen)) out = i;
  }
  if (out == list->count && list->count < list->most) return true;
  if (out == list->count) out--;
  if (compare_in(list, chosen, &list->items[out]) >= 0) return false;
  for (size_t i = out + 1; i < list->count; i++) list->items[i - 1] = list->items[i];
  list->count--;
  return true;
}

static void consider(struct list *list, const struct pl_chosen *chosen) {
  const bool full = list->count == list->most;
  if (full && compare_in(list, chosen, &list->items[list->count - 1]) >= 0) return;
  if (!make_room(list, chosen)) return;
  size_t at = list->count++;
  for (; at > 0 && compare_in(list, chosen, &list->items[at - 1]) < 0; at--)
    list->items[at] = list->items[at - 1];
  list->items[at] = *chosen;
}

// ---------------------------------------------------------------- groups

/// An aim within its group.
struct goal {
  size_t wanted; ///< its number
  size_t depth;  ///< of so many dimensions it goes by no other
};

/// Dimensions that aims go by together, the outermost first, and these aims.
struct group {
  size_t dimensions[PL_DIMENSIONS];
  size_t count;
  struct goal goals[WANTED_MOST];
  size_t goal_count;
  double combinations;
  size_t prefix; ///< so many dimensions tell the parts apart
  size_t parts;
  struct pl_score limit; ///< what is farther than this is in no list
};

/// A thread with memory and figures of its own.
struct worker {
  struct search *search;
  struct pl_guard *guard;
  struct pl_arena *lasting;
  struct pl_arena *scratch;
  struct pl_figures *figures;
  unsigned reads[WANTED_MOST]; ///< the dimensions that the aims were seen to go by
  struct list best;            ///< of the group in hand
  struct list part;            ///< of the part in hand
  double left_out;
  unsigned long long passed; ///< combinations that were not yet counted for the progress
  bool is_first;
  bool failed; ///< memory ran out
  pthread_t thread;
};

struct search {
  struct pl_arena *arena;
  const struct pl_space *space;
  const struct pl_search_request *request;
  uint8_t (*dimension_of)[PL_PLACE_COUNT];
  unsigned reads[WANTED_MOST]; ///< what the round in hand takes the aims to go by
  unsigned varied;             ///< the dimensions of all its groups
  struct worker *workers;
  size_t worker_count;
  const struct group *group;
  atomic_size_t next_part;
  atomic_ullong passed;
  double all; ///< combinations of all groups
};

static size_t ways_of(const struct search *search, size_t dimension) {
  return search->space->dimensions[dimension].count;
}

static double product_of(const struct search *search, unsigned dimensions) {
  double product = 1;
  for (size_t d = 0; d < search->space->count; d++) {
    if ((dimensions & (1u << d)) != 0) product *= (double)ways_of(search, d);
  }
  return product;
}

/// Adds the aim that is settled by the fewest combinations, with the dimensions that it brings.
static unsigned add_goal(const struct search *search, struct group *group, unsigned placed,
                         bool *taken, unsigned all) {
  size_t chosen = SIZE_MAX;
  double least = INFINITY;
  for (size_t i = 0; i < search->space->aim->count; i++) {
    if (taken[i] || (search->reads[i] & all) == 0) continue;
    const double more = product_of(search, search->reads[i] & ~placed);
    if (more < least) chosen = i;
    if (more < least) least = more;
  }
  if (chosen == SIZE_MAX) return placed;
  taken[chosen] = true;
  for (size_t d = 0; d < search->space->count; d++) {
    if ((search->reads[chosen] & ~placed & (1u << d)) != 0)
      group->dimensions[group->count++] = d;
  }
  group->goals[group->goal_count++] = (struct goal){chosen, group->count};
  return placed | search->reads[chosen];
}

/// The dimensions that are joined to these by aims.
static unsigned joined_to(const struct search *search, unsigned dimensions) {
  for (size_t i = 0; i < search->space->aim->count; i++) {
    const unsigned reads = search->reads[i];
    if ((reads & dimensions) != 0 && (reads & ~dimensions) != 0)
      return joined_to(search, dimensions | reads);
  }
  return dimensions;
}

static void make_group(const struct search *search, unsigned dimensions, struct group *group) {
  *group = (struct group){.combinations = product_of(search, dimensions), .parts = 1};
  bool taken[WANTED_MOST] = {false};
  unsigned placed = 0;
  size_t before;
  do {
    before = group->goal_count;
    placed = add_goal(search, group, placed, taken, dimensions);
  } while (group->goal_count > before);
  while (group->prefix + 1 < group->count && group->parts < FEWEST_PARTS)
    group->parts *= ways_of(search, group->dimensions[group->prefix++]);
}

static size_t make_groups(struct search *search, struct group groups[PL_DIMENSIONS]) {
  size_t count = 0;
  unsigned done = 0;
  for (size_t d = 0; d < search->space->count; d++) {
    // A change that nothing else asks for is not made to go on standing at ride height.
    unsigned by = 0;
    for (size_t i = 0; i < search->space->aim->count; i++)
      by |= search->space->aim->wanted[i].is_implied ? 0 : search->reads[i];
    if ((done & (1u << d)) != 0 || (by & (1u << d)) == 0) continue;
    const unsigned dimensions = joined_to(search, 1u << d);
    make_group(search, dimensions, &groups[count++]);
    done |= dimensions;
  }
  search->varied = done;
  return count;
}

// ---------------------------------------------------------------- one combination

/// Adds what the combination in hand makes of an aim.
static void add_goal_score(struct worker *worker, size_t which, struct pl_score *score) {
  const struct pl_wanted *const wanted = &worker->search->space->aim->wanted[which];
  double values[PL_AXLES];
  for (size_t i = 0; i < wanted->place_count; i++)
    values[i] =
        varied_value(worker->figures, wanted->figure, wanted->places[i], &worker->reads[which]);
  add_aim(score, wanted, values);
}

static void take_way(struct worker *worker, size_t dimension, size_t way,
                     struct pl_score *score) {
  worker->figures->varied->ways[dimension] = (unsigned char)way;
  if (way != 0)
    score->work += pl_varied_rows[worker->search->space->dimensions[dimension].kind].work;
}

/// The score of the first `depth + 1` dimensions, from that of the first `depth`.
static void settle(struct worker *worker, size_t depth, size_t way, struct pl_score *score) {
  const struct group *const group = worker->search->group;
  take_way(worker, group->dimensions[depth], way, score);
  for (size_t i = 0; i < group->goal_count; i++) {
    if (group->goals[i].depth == depth + 1)
      add_goal_score(worker, group->goals[i].wanted, score);
  }
}

static void show_progress(struct worker *worker) {
  struct search *const search = worker->search;
  const unsigned long long passed =
      atomic_fetch_add(&search->passed, worker->passed) + worker->passed;
  worker->passed = 0;
  if (worker->is_first && search->request->progress != NULL)
    search->request->progress(search->request->context, fmin((double)passed, search->all),
                              search->all);
}

static void pass(struct worker *worker, double combinations) {
  worker->passed += (unsigned long long)combinations;
  if (worker->passed >= 16384) show_progress(worker);
}

/// Can nothing that begins with this score come into a list?
static bool is_too_far(const struct worker *worker, const struct pl_score *score) {
  const struct list *const part = &worker->part;
  if (compare_scores(score, &worker->search->group->limit) > 0) return true;
  return part->count == part->most &&
         compare_scores(score, &part->items[part->count - 1].score) > 0;
}

/// Combinations behind the first `depth` dimensions.
static double behind(const struct worker *worker, size_t depth) {
  const struct group *const group = worker->search->group;
  double product = 1;
  for (size_t i = depth; i < group->count; i++)
    product *= (double)ways_of(worker->search, group->dimensions[i]);
  return product;
}

/// Goes through all that begins with the first `depth` dimensions as they are.
static void go_through(struct worker *worker, size_t depth, const struct pl_score *so_far) {
  const struct group *const group = worker->search->group;
  if (depth == group->count) {
    struct pl_chosen chosen = {.score = *so_far};
    memcpy(chosen.ways, worker->figures->varied->ways, sizeof chosen.ways);
    consider(&worker->part, &chosen);
    pass(worker, 1);
    return;
  }
  const size_t ways = ways_of(worker->search, group->dimensions[depth]);
  for (size_t way = 0; way < ways; way++) {
    struct pl_score score = *so_far;
    settle(worker, depth, way, &score);
    if (depth + 1 < group->count && is_too_far(worker, &score)) {
      const double combinations = behind(worker, depth + 1);
      worker->left_out += combinations;
      pass(worker, combinations);
      continue;
    }
    go_through(worker, depth + 1, &score);
  }
}

/// One part of the group: the outer dimensions as its number says.
static void go_through_part(struct worker *worker, size_t number) {
  const struct group *const group = worker->search->group;
  worker->part.count = 0;
  size_t ways[PL_DIMENSIONS] = {0};
  for (size_t i = group->prefix; i-- > 0;) {
    const size_t count = ways_of(worker->search, group->dimensions[i]);
    ways[i] = number % count;
    number /= count;
  }
  struct pl_score score = {0};
  for (size_t i = 0; i < group->prefix; i++) settle(worker, i, ways[i], &score);
  if (is_too_far(worker, &score)) {
    worker->left_out += behind(worker, group->prefix);
    pass(worker, behind(worker, group->prefix));
    return;
  }
  go_through(worker, group->prefix, &score);
  for (size_t i = 0; i < worker->part.count; i++)
    consider(&worker->best, &worker->part.items[i]);
}

// ---------------------------------------------------------------- threads

static void go_through_parts(void *context) {
  struct worker *const worker = context;
  struct search *const search = worker->search;
  for (;;) {
    const size_t part = atomic_fetch_add(&search->next_part, 1);
    if (part >= search->group->parts) break;
    go_through_part(worker, part);
    show_progress(worker);
  }
  memset(worker->figures->varied->ways, 0, sizeof worker->figures->varied->ways);
}

static void *run_thread(void *context) {
  struct worker *const worker = context;
  worker->failed = !pl_with_memory(worker->guard, go_through_parts, worker);
  return NULL;
}

/// What a worker works with, out of memory of its own.
static void prepare(void *context) {
  struct worker *const worker = context;
  struct search *const search = worker->search;
  worker->lasting = pl_arena_new(worker->guard);
  worker->scratch = pl_arena_new(worker->guard);
  worker->figures = pl_figures_varied(worker->lasting, worker->scratch, search->space,
                                      (const uint8_t(*)[PL_PLACE_COUNT])search->dimension_of);
  worker->part = list_new(worker->lasting, search->request->best, search->space);
  worker->best = list_new(worker->lasting, search->request->best, search->space);
}

static void free_workers(void *thing) {
  struct search *const search = thing;
  for (size_t i = 0; i < search->worker_count; i++) {
    pl_arena_free(search->workers[i].lasting);
    pl_arena_free(search->workers[i].scratch);
    pl_guard_free(search->workers[i].guard);
  }
}

static void make_workers(struct search *search) {
  const size_t wanted = search->request->threads < 1 ? 1 : search->request->threads;
  search->workers = pl_alloc_array(search->arena, wanted, sizeof *search->workers);
  pl_arena_at_end(search->arena, free_workers, search);
  for (size_t i = 0; i < wanted; i++) {
    struct worker *const worker = &search->workers[i];
    *worker = (struct worker){.search = search, .guard = pl_guard_new(), .is_first = i == 0};
    search->worker_count++;
    if (worker->guard == NULL || !pl_with_memory(worker->guard, prepare, worker))
      pl_out_of_memory(search->arena);
  }
}

/// Has all workers go through the group. Where the system gives no further thread, those that
/// there are do all of it.
static void run_workers(struct search *search) {
  size_t started = 1;
  while (started < search->worker_count &&
         pthread_create(&search->workers[started].thread, NULL, run_thread,
                        &search->workers[started]) == 0)
    started++;
  run_thread(&search->workers[0]);
  bool failed = search->workers[0].failed;
  for (size_t i = 1; i < started; i++) {
    pthread_join(search->workers[i].thread, NULL);
    failed |= search->workers[i].failed;
  }
  if (failed) pl_out_of_memory(search->arena);
}

// ---------------------------------------------------------------- beginning

/// The first worker does something alone.
static void alone(struct search *search, void (*work)(void *context)) {
  if (!pl_with_memory(search->workers[0].guard, work, &search->workers[0]))
    pl_out_of_memory(search->arena);
}

/// Looks at what the aims go by, as it is and with each way by itself.
static void probe(void *context) {
  struct worker *const worker = context;
  const struct pl_space *const space = worker->search->space;
  unsigned char *const ways = worker->figures->varied->ways;
  for (size_t i = 0; i < space->aim->count; i++) {
    struct pl_score score = {0};
    add_goal_score(worker, i, &score);
    for (size_t d = 0; d < space->count; d++) {
      for (size_t way = 1; way < space->dimensions[d].count; way++) {
        ways[d] = (unsigned char)way;
        add_goal_score(worker, i, &score);
      }
      ways[d] = 0;
    }
  }
}

static void consider_whole(struct worker *worker) {
  const struct group *const group = worker->search->group;
  const unsigned char *const ways = worker->figures->varied->ways;
  struct pl_chosen chosen = {0};
  memcpy(chosen.ways, ways, sizeof chosen.ways);
  for (size_t i = 0; i < group->count; i++)
    take_way(worker, group->dimensions[i], ways[group->dimensions[i]], &chosen.score);
  for (size_t i = 0; i < group->goal_count; i++)
    add_goal_score(worker, group->goals[i].wanted, &chosen.score);
  consider(&worker->part, &chosen);
}

/// Looks at what two changes can do, and sets the group's limit by it: whoever has that has no
/// need of what is farther. All parts begin with the same limit.
static void look_at_pairs(void *context) {
  struct worker *const worker = context;
  const struct search *const search = worker->search;
  const struct group *const group = search->group;
  unsigned char *const ways = worker->figures->varied->ways;
  worker->part.count = 0;
  consider_whole(worker);
  for (size_t i = 0; i < group->count; i++) {
    const size_t one = group->dimensions[i];
    for (size_t a = 1; a < ways_of(search, one); a++) {
      ways[one] = (unsigned char)a;
      consider_whole(worker);
      for (size_t j = i + 1; j < group->count; j++) {
        const size_t other = group->dimensions[j];
        for (size_t b = 1; b < ways_of(search, other); b++) {
          ways[other] = (unsigned char)b;
          consider_whole(worker);
        }
        ways[other] = 0;
      }
    }
    ways[one] = 0;
  }
}

static void search_group(struct search *search, struct group *group) {
  search->group = group;
  group->limit = (struct pl_score){UINT64_MAX, UINT64_MAX, UINT64_MAX};
  alone(search, look_at_pairs);
  const struct list *const pairs = &search->workers[0].part;
  if (pairs->count == pairs->most) group->limit = pairs->items[pairs->count - 1].score;
  for (size_t i = 0; i < search->worker_count; i++) search->workers[i].best.count = 0;
  atomic_store(&search->next_part, 0);
  run_workers(search);
}

// ---------------------------------------------------------------- joining

/// Joins the lists of two groups: of each, only what is in its list can be in the list of both.
static struct list join(struct search *search, const struct list *a, const struct list *b) {
  struct list both = list_new(search->arena, a->most, a->space);
  for (size_t i = 0; i < a->count; i++) {
    for (size_t j = 0; j < b->count; j++) {
      struct pl_chosen chosen = a->items[i];
      const struct pl_chosen *const other = &b->items[j];
      chosen.score.missed += other->score.missed;
      chosen.score.work += other->score.work;
      chosen.score.away += other->score.away;
      for (size_t d = 0; d < a->space->count; d++) chosen.ways[d] |= other->ways[d];
      consider(&both, &chosen);
    }
  }
  return both;
}

/// The score of the aims that nothing varied touches, with no change.
static void score_fixed(void *context) {
  struct worker *const worker = context;
  const struct search *const search = worker->search;
  struct pl_chosen chosen = {0};
  for (size_t i = 0; i < search->space->aim->count; i++) {
    if ((search->reads[i] & search->varied) == 0) add_goal_score(worker, i, &chosen.score);
  }
  worker->part.count = 0;
  consider(&worker->part, &chosen);
}

/// Did an aim go by something that it was not taken to go by?
static bool learn(struct search *search) {
  bool learnt = false;
  for (size_t w = 0; w < search->worker_count; w++) {
    for (size_t i = 0; i < search->space->aim->count; i++) {
      const unsigned reads = search->workers[w].reads[i];
      learnt |= (reads & ~search->reads[i]) != 0;
      search->reads[i] |= reads;
    }
  }
  return learnt;
}

/// A list of a worker, copied to where it lasts.
static struct list best_of_group(struct search *search) {
  struct list best = list_new(search->arena, search->request->best, search->space);
  for (size_t w = 0; w < search->worker_count; w++) {
    const struct list *const own = &search->workers[w].best;
    for (size_t i = 0; i < own->count; i++) consider(&best, &own->items[i]);
  }
  return best;
}

/// One round; false where something was learnt on the way, or a group is too large.
static bool go_round(struct search *search, struct pl_choice *choice) {
  struct group groups[PL_DIMENSIONS];
  const size_t count = make_groups(search, groups);
  *choice = (struct pl_choice){.combinations = 1};
  search->all = 0;
  atomic_store(&search->passed, 0);
  for (size_t i = 0; i < count; i++) {
    choice->combinations *= groups[i].combinations;
    search->all += groups[i].combinations;
    choice->too_many = fmax(choice->too_many, groups[i].combinations);
    for (size_t j = 0; j < groups[i].count; j++) choice->varies[groups[i].dimensions[j]] = true;
  }
  choice->searched = search->all;
  if (choice->too_many > PL_MOST_COMBINATIONS) return true;
  choice->too_many = 0;
  alone(search, score_fixed);
  struct list best = list_new(search->arena, search->request->best, search->space);
  consider(&best, &search->workers[0].part.items[0]);
  for (size_t w = 0; w < search->worker_count; w++) search->workers[w].left_out = 0;
  for (size_t i = 0; i < count; i++) {
    search_group(search, &groups[i]);
    const struct list own = best_of_group(search);
    best = join(search, &best, &own);
  }
  for (size_t w = 0; w < search->worker_count; w++)
    choice->left_out += search->workers[w].left_out;
  choice->best = best.items;
  choice->count = best.count;
  return !learn(search);
}

struct pl_choice *pl_search(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_search_request *request) {
  struct search *const search = pl_alloc(arena, sizeof *search);
  search->arena = arena;
  search->space = space;
  search->request = request;
  search->dimension_of = pl_alloc_array(arena, PL_SETTING_COUNT, sizeof *search->dimension_of);
  size_t clash = 0;
  enum pl_setting by = PL_SETTING_COUNT;
  dimensions_of_settings(space, search->dimension_of, &clash, &by); // the space has no clash
  make_workers(search);
  alone(search, probe);
  learn(search);
  struct pl_choice *const choice = pl_alloc(arena, sizeof *choice);
  while (!go_round(search, choice)) continue;
  return choice;
}
