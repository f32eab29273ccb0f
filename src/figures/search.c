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
// than the last of a full list, nothing behind it can come into the list. Where what is left
// falls apart once the outer dimensions are settled, as the oils of both axles do once an aim
// for the whole car is, it is again looked through apart and joined.
#include "search.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

/// Parts into which a group is cut, so that threads have something each; the same however many
/// there are, so that the bounds are the same, too.
#define FEWEST_PARTS 48

/// What is worked with at one depth of groups.
struct stage {
  struct list list;        ///< of the group, with its score alone
  struct list joined[2];   ///< of what its inner groups make together
  struct pl_score settled; ///< the score of what stands around it
};

/// A thread with memory and figures of its own.
struct worker {
  struct search *search;
  struct pl_guard *guard;
  struct pl_arena *lasting;
  struct pl_arena *scratch;
  struct pl_figures *figures;
  unsigned reads[WANTED_MOST];      ///< the dimensions that the aims were seen to go by
  struct list best;                 ///< of the outer group in hand
  struct stage stages[GROUPS_MOST]; ///< of each group
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
  struct groups groups;
  struct worker *workers;
  size_t worker_count;
  size_t outer;  ///< the outer group in hand
  size_t prefix; ///< so many of its dimensions tell its parts apart
  size_t parts;
  struct pl_score limit; ///< what is farther than this is in no list
  atomic_size_t next_part;
  atomic_ullong passed;
  double all; ///< combinations of all groups
};

static size_t ways_of(const struct search *search, size_t dimension) {
  return search->space->dimensions[dimension].count;
}

static const struct group *group_of(const struct worker *worker, size_t number) {
  return &worker->search->groups.items[number];
}

static double behind(const struct worker *worker, size_t number, size_t depth) {
  return combinations_behind(worker->search->space, group_of(worker, number),
                             &worker->search->groups, depth);
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

/// The score of the first `depth + 1` dimensions of a group, from that of the first `depth`.
static void settle(struct worker *worker, size_t number, size_t depth, size_t way,
                   struct pl_score *score) {
  const struct group *const group = group_of(worker, number);
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

static void leave_out(struct worker *worker, double combinations) {
  worker->left_out += combinations;
  pass(worker, combinations);
}

static bool is_beyond(const struct list *list, const struct pl_score *score) {
  return list->count == list->most &&
         compare_scores(score, &list->items[list->count - 1].score) > 0;
}

/// Can nothing of the group that begins with this score come into its list, or with what stands
/// around it into that of the outer group?
static bool is_too_far(const struct worker *worker, size_t number,
                       const struct pl_score *score) {
  const struct stage *const stage = &worker->stages[number];
  struct pl_score whole = stage->settled;
  add_score(&whole, score);
  return compare_scores(&whole, &worker->search->limit) > 0 || is_beyond(&stage->list, score) ||
         is_beyond(&worker->stages[worker->search->outer].list, &whole);
}

// ---------------------------------------------------------------- going through

static void go_through(struct worker *worker, size_t number, size_t depth,
                       const struct pl_score *so_far);

static struct pl_chosen chosen_now(const struct worker *worker, const struct pl_score *score) {
  struct pl_chosen chosen = {.score = *score};
  memcpy(chosen.ways, worker->figures->varied->ways, sizeof chosen.ways);
  return chosen;
}

/// Goes through the groups within one whose own dimensions are settled, and joins their lists.
static void go_through_inner(struct worker *worker, size_t number,
                             const struct pl_score *so_far) {
  static const struct pl_score none = {0};
  const struct group *const group = group_of(worker, number);
  struct stage *const stage = &worker->stages[number];
  struct list *whole = &stage->joined[0];
  struct list *other = &stage->joined[1];
  const struct pl_chosen now = chosen_now(worker, so_far);
  whole->count = 0;
  consider(whole, &now);
  for (size_t i = 0; i < group->inner_count; i++) {
    struct stage *const inner = &worker->stages[group->inner[i]];
    inner->list.count = 0;
    inner->settled = stage->settled;
    add_score(&inner->settled, so_far);
    go_through(worker, group->inner[i], 0, &none);
    join_lists(other, whole, &inner->list);
    struct list *const swapped = whole;
    whole = other;
    other = swapped;
  }
  for (size_t i = 0; i < whole->count; i++) consider(&stage->list, &whole->items[i]);
}

/// Goes through all of a group that begins with its first `depth` dimensions as they are.
static void go_through(struct worker *worker, size_t number, size_t depth,
                       const struct pl_score *so_far) {
  const struct group *const group = group_of(worker, number);
  if (depth == group->count && group->inner_count > 0) {
    go_through_inner(worker, number, so_far);
    return;
  }
  if (depth == group->count) {
    const struct pl_chosen chosen = chosen_now(worker, so_far);
    consider(&worker->stages[number].list, &chosen);
    pass(worker, 1);
    return;
  }
  const size_t ways = ways_of(worker->search, group->dimensions[depth]);
  const bool is_last = depth + 1 == group->count && group->inner_count == 0;
  for (size_t way = 0; way < ways; way++) {
    struct pl_score score = *so_far;
    settle(worker, number, depth, way, &score);
    if (!is_last && is_too_far(worker, number, &score))
      leave_out(worker, behind(worker, number, depth + 1));
    else
      go_through(worker, number, depth + 1, &score);
  }
  worker->figures->varied->ways[group->dimensions[depth]] = 0;
}

/// One part of the outer group: its first dimensions as the part's number says.
static void go_through_part(struct worker *worker, size_t part) {
  const struct search *const search = worker->search;
  const size_t number = search->outer;
  const struct group *const group = group_of(worker, number);
  struct list *const list = &worker->stages[number].list;
  list->count = 0;
  worker->stages[number].settled = (struct pl_score){0};
  size_t ways[PL_DIMENSIONS] = {0};
  for (size_t i = search->prefix; i-- > 0;) {
    const size_t count = ways_of(search, group->dimensions[i]);
    ways[i] = part % count;
    part /= count;
  }
  struct pl_score score = {0};
  for (size_t i = 0; i < search->prefix; i++) settle(worker, number, i, ways[i], &score);
  if (is_too_far(worker, number, &score))
    leave_out(worker, behind(worker, number, search->prefix));
  else
    go_through(worker, number, search->prefix, &score);
  for (size_t i = 0; i < list->count; i++) consider(&worker->best, &list->items[i]);
}

// ---------------------------------------------------------------- threads

static void go_through_parts(void *context) {
  struct worker *const worker = context;
  struct search *const search = worker->search;
  for (;;) {
    const size_t part = atomic_fetch_add(&search->next_part, 1);
    if (part >= search->parts) break;
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
  const size_t most = search->request->best;
  worker->best = list_new(worker->lasting, most, search->space);
  for (size_t i = 0; i < (size_t)GROUPS_MOST; i++) {
    struct stage *const stage = &worker->stages[i];
    stage->list = list_new(worker->lasting, most, search->space);
    stage->joined[0] = list_new(worker->lasting, most, search->space);
    stage->joined[1] = list_new(worker->lasting, most, search->space);
  }
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

/// Adds the work of a group, and of those within it, and what is wanted of them.
static void add_whole(struct worker *worker, size_t number, struct pl_score *score) {
  const struct group *const group = group_of(worker, number);
  const unsigned char *const ways = worker->figures->varied->ways;
  for (size_t i = 0; i < group->count; i++)
    take_way(worker, group->dimensions[i], ways[group->dimensions[i]], score);
  for (size_t i = 0; i < group->goal_count; i++)
    add_goal_score(worker, group->goals[i].wanted, score);
  for (size_t i = 0; i < group->inner_count; i++) add_whole(worker, group->inner[i], score);
}

static void consider_whole(struct worker *worker) {
  struct pl_score score = {0};
  add_whole(worker, worker->search->outer, &score);
  const struct pl_chosen chosen = chosen_now(worker, &score);
  consider(&worker->best, &chosen);
}

/// The dimensions of a group and of those within it.
static size_t dimensions_of(const struct worker *worker, size_t number,
                            size_t dimensions[PL_DIMENSIONS], size_t count) {
  const struct group *const group = group_of(worker, number);
  for (size_t i = 0; i < group->count; i++) dimensions[count++] = group->dimensions[i];
  for (size_t i = 0; i < group->inner_count; i++)
    count = dimensions_of(worker, group->inner[i], dimensions, count);
  return count;
}

/// Looks at what two changes can do, and sets the group's limit by it: whoever has that has no
/// need of what is farther. All parts begin with the same limit.
static void look_at_pairs(void *context) {
  struct worker *const worker = context;
  const struct search *const search = worker->search;
  unsigned char *const ways = worker->figures->varied->ways;
  size_t dimensions[PL_DIMENSIONS];
  const size_t count = dimensions_of(worker, search->outer, dimensions, 0);
  worker->best.count = 0;
  consider_whole(worker);
  for (size_t i = 0; i < count; i++) {
    const size_t one = dimensions[i];
    for (size_t a = 1; a < ways_of(search, one); a++) {
      ways[one] = (unsigned char)a;
      consider_whole(worker);
      for (size_t j = i + 1; j < count; j++) {
        const size_t other = dimensions[j];
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

static void search_group(struct search *search, size_t number) {
  const struct group *const group = &search->groups.items[number];
  search->outer = number;
  search->prefix = 0;
  search->parts = 1;
  while (search->prefix + 1 < group->count && search->parts < FEWEST_PARTS)
    search->parts *= ways_of(search, group->dimensions[search->prefix++]);
  search->limit = (struct pl_score){UINT64_MAX, UINT64_MAX, UINT64_MAX};
  alone(search, look_at_pairs);
  const struct list *const pairs = &search->workers[0].best;
  if (pairs->count == pairs->most) search->limit = pairs->items[pairs->count - 1].score;
  for (size_t i = 0; i < search->worker_count; i++) search->workers[i].best.count = 0;
  atomic_store(&search->next_part, 0);
  run_workers(search);
}

// ---------------------------------------------------------------- joining

/// The score of the aims that nothing varied touches, with no change.
static void score_fixed(void *context) {
  struct worker *const worker = context;
  struct search *const search = worker->search;
  for (size_t w = 0; w < search->worker_count; w++) search->workers[w].best.count = 0;
  struct pl_chosen chosen = {0};
  for (size_t i = 0; i < search->space->aim->count; i++) {
    if ((search->reads[i] & search->groups.dimensions) == 0)
      add_goal_score(worker, i, &chosen.score);
  }
  worker->best.count = 0;
  consider(&worker->best, &chosen);
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

/// How many combinations there are, and how many to look at.
static void count_combinations(struct search *search, struct pl_choice *choice) {
  const struct groups *const groups = &search->groups;
  search->all = 0;
  atomic_store(&search->passed, 0);
  for (size_t i = 0; i < groups->outer_count; i++) {
    const double combinations = groups->items[groups->outer[i]].combinations;
    search->all += combinations;
    choice->too_many = fmax(choice->too_many, combinations);
  }
  for (size_t d = 0; d < search->space->count; d++) {
    choice->varies[d] = (groups->dimensions & (1u << d)) != 0;
    if (choice->varies[d]) choice->combinations *= (double)ways_of(search, d);
  }
  choice->searched = search->all;
  if (choice->too_many <= PL_MOST_COMBINATIONS) choice->too_many = 0;
}

/// One round; false where something was learnt on the way.
static bool go_round(struct search *search, struct pl_choice *choice) {
  make_groups(search->space, search->reads, &search->groups);
  *choice = (struct pl_choice){.combinations = 1};
  count_combinations(search, choice);
  if (choice->too_many > 0) return true;
  for (size_t w = 0; w < search->worker_count; w++) search->workers[w].left_out = 0;
  alone(search, score_fixed);
  struct list best = best_of_group(search);
  for (size_t i = 0; i < search->groups.outer_count; i++) {
    search_group(search, search->groups.outer[i]);
    const struct list own = best_of_group(search);
    struct list both = list_new(search->arena, best.most, search->space);
    join_lists(&both, &best, &own);
    best = both;
  }
  for (size_t w = 0; w < search->worker_count; w++)
    choice->left_out += search->workers[w].left_out;
  choice->best = best.items;
  choice->count = best.count;
  return !learn(search);
}

static void know_dimensions(struct search *search) {
  size_t clash = 0;
  enum pl_setting by = PL_SETTING_COUNT;
  search->dimension_of =
      pl_alloc_array(search->arena, PL_SETTING_COUNT, sizeof *search->dimension_of);
  // The space has no clash.
  dimensions_of_settings(search->space, search->dimension_of, &clash, &by);
}

struct pl_choice *pl_search(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_search_request *request) {
  struct search *const search = pl_alloc(arena, sizeof *search);
  search->arena = arena;
  search->space = space;
  search->request = request;
  know_dimensions(search);
  make_workers(search);
  alone(search, probe);
  learn(search);
  struct pl_choice *const choice = pl_alloc(arena, sizeof *choice);
  bool is_known = false;
  while (!is_known) is_known = go_round(search, choice);
  return choice;
}
