"""Forward days, latest days and the critical path of random stage graphs, against networkx."""

from random import Random

import networkx as nx
import pytest

from fittings.promise import Order, schedule
from fittings.promise.stages import STAGES, in_order, without
from tests.fittings.promise.benches import CRAFTS, DAY, EVERY_DAY, TODAY, bench, workroom


def random_stages(seed):
    """Up to fourteen stages of one to nine days; each waits for some of those before it."""
    rng = Random(seed)
    keys = [f"s{number}" for number in range(rng.randrange(3, 15))]
    rows = [
        bench(key, rng.choice(CRAFTS), rng.randrange(1, 10),
              *rng.sample(keys[:place], rng.randrange(min(place, 3) + 1)))
        for place, key in enumerate(keys)
    ]  # fmt: skip
    rng.shuffle(rows)
    return in_order(rows)


def as_graph(stages, *, backwards=False):
    """Stages as nodes, the days of the one begun from as the edge's weight, "end" after all."""
    graph = nx.DiGraph()
    for row in stages:
        days = row.minutes // 420
        for before in row.after:
            graph.add_edge(before, row.key)
        graph.add_node(row.key, days=days)
    for row in stages:
        if not list(graph.successors(row.key)):
            graph.add_edge(row.key, "end")
    graph.nodes["end"]["days"] = 0
    for first, then in graph.edges:
        graph.edges[first, then]["days"] = graph.nodes[first]["days"]
    return graph


def longest_from(graph, start):
    return nx.dag_longest_path_length(
        graph.subgraph({start, *nx.descendants(graph, start)}), weight="days"
    )


def longest_to(graph, end):
    return nx.dag_longest_path_length(
        graph.subgraph({end, *nx.ancestors(graph, end)}), weight="days"
    )


def plan_of(stages, due=60):
    """Hands enough that no stage ever waits for a bench."""
    room = workroom(EVERY_DAY, hands=15)
    order = Order("it", "it", TODAY + due * DAY)
    return schedule(room, [order], TODAY, {"it": stages})["it"]


@pytest.mark.parametrize("seed", range(60))
def test_days_agree_with_networkx_paths(seed):
    stages = random_stages(seed)
    graph, plan = as_graph(stages), plan_of(stages, due=150)

    for row in stages:
        # Done on the last of its days; the latest leaves room for all that must follow.
        done = longest_to(graph, row.key) + graph.nodes[row.key]["days"] - 1
        rest = longest_from(graph, row.key) - graph.nodes[row.key]["days"]
        planned = plan.stage(row.key)
        assert planned.done == TODAY + done * DAY
        assert planned.latest == TODAY + (150 - rest - 1) * DAY
        assert planned.slack == (planned.latest - planned.done).days


@pytest.mark.parametrize("seed", range(60))
def test_critical_stages_make_a_longest_path(seed):
    stages = random_stages(seed)
    graph, plan = as_graph(stages), plan_of(stages, due=150)
    length = nx.dag_longest_path_length(graph, weight="days")
    on_a_longest = {
        row.key
        for row in stages
        if longest_to(graph, row.key) + longest_from(graph, row.key) == length
    }

    assert (plan.ready - TODAY).days == length
    assert set(plan.critical) == on_a_longest


@pytest.mark.parametrize("kind", STAGES)
def test_rows_of_data_wait_without_circle(kind):
    graph = nx.DiGraph([(before, row.key) for row in STAGES[kind] for before in row.after])

    assert nx.is_directed_acyclic_graph(graph)
    assert nx.is_weakly_connected(graph)


def test_fitting_left_out_keeps_what_waits():
    kept = {row.key: row.after for row in without(STAGES["coat"], "forward-fitting")}

    assert "alter-forward" not in kept
    assert kept["make-up"] == ("forward-baste",)


def test_coat_with_trousers_takes_the_trades_hours():
    # 50 to 100 hours in a suit: trade facts section 6 (BBC; SL; CF; ST).
    hours = sum(row.minutes for kind in ("coat", "trousers") for row in STAGES[kind]) / 60

    assert 50 <= hours <= 100


def test_every_row_names_source():
    unsourced = [row.key for rows in STAGES.values() for row in rows if len(row.source) < 10]

    assert unsourced == []
