using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Domain.Tests.Planning;

/// <summary>Looks at every order of stages, every choice of widths and every choice of kinds of strips of a small day without closures. Slow and plain.</summary>
internal static class Exhaustive
{
    public static int EarliestEnd(DayToPlan day)
    {
        var best = int.MaxValue;
        var known = new Dictionary<(int, int, int, int), bool>();
        // Strips that are alike: those of one kind.
        (string Name, int Count, Weapon[] Serves)[] kinds =
        [
            .. Enumerable.Range(0, day.Strips).Select(i => day.Kinds.IsDefaultOrEmpty || day.Kinds[i].IsEmpty ? Enum.GetValues<Weapon>() : [.. day.Kinds[i].Order()])
                .GroupBy(serves => string.Join(' ', serves)).Select(g => (g.Key, g.Count(), g.First())),
        ];
        Next(new int[day.Competitions.Length], []);
        return best;

        void Next(int[] placed, List<(int Competition, int From, int To, int[] Strips)> stages)
        {
            if (stages.Count > 0 && stages.Max(s => s.To) >= best)
            {
                return;
            }

            var open = Enumerable.Range(0, placed.Length).Where(c => placed[c] < day.Competitions[c].Stages.Length).ToArray();
            if (open.Length == 0)
            {
                best = stages.Max(s => s.To);
                return;
            }

            foreach (var c in open)
            {
                var stage = day.Competitions[c].Stages[placed[c]];
                var ready = stages.Where(s => s.Competition == c).Select(s => s.To + stage.PauseBefore).Append(day.Competitions[c].NotBefore).Max();
                foreach (var width in stage.Widths)
                {
                    foreach (var strips in Splits(c, width.Strips, 0))
                    {
                        var from = ready;
                        while (!Fits(c, from, from + width.Minutes, strips))
                        {
                            from += StageToPlan.Grid;
                        }

                        placed[c]++;
                        stages.Add((c, from, from + width.Minutes, strips));
                        Next(placed, stages);
                        stages.RemoveAt(stages.Count - 1);
                        placed[c]--;
                    }
                }
            }

            // Every number of strips of each kind, from the one given on, that comes to so many in all.
            IEnumerable<int[]> Splits(int c, int left, int kind)
            {
                if (kind == kinds.Length)
                {
                    return left == 0 ? [[]] : [];
                }

                var most = kinds[kind].Serves.Contains(day.Competitions[c].Weapon) ? Math.Min(left, kinds[kind].Count) : 0;
                return Enumerable.Range(0, most + 1).SelectMany(take => Splits(c, left - take, kind + 1).Select(rest => (int[])[take, .. rest]));
            }

            bool Refereed(int at, (int Competition, int From, int To, int[] Strips)[] inUse)
            {
                int Of(Weapon weapon) => inUse.Where(s => day.Competitions[s.Competition].Weapon == weapon).Sum(s => s.Strips.Sum());

                var question = (at, Of(Weapon.Foil), Of(Weapon.Epee), Of(Weapon.Sabre));
                if (!known.TryGetValue(question, out var answer))
                {
                    answer = DayPlannerTests.AllRefereed(day, at, inUse.SelectMany(s => Enumerable.Repeat(day.Competitions[s.Competition].Weapon, s.Strips.Sum())));
                    known.Add(question, answer);
                }

                return answer;
            }

            bool Fits(int c, int from, int to, int[] strips)
            {
                for (var at = from; at < to; at += StageToPlan.Grid)
                {
                    var inUse = stages.Where(s => s.From <= at && at < s.To).Append((Competition: c, From: from, To: to, Strips: strips)).ToArray();
                    if (inUse.Sum(s => s.Strips.Sum()) > day.Capacity
                        || kinds.Index().Any(kind => inUse.Sum(s => s.Strips[kind.Index]) > kind.Item.Count)
                        || (!day.Listed.IsDefaultOrEmpty && !Refereed(at, inUse)))
                    {
                        return false;
                    }
                }

                return !stages.Any(s => s.From < to + DayToPlan.TurnRound && from < s.To + DayToPlan.TurnRound
                    && day.Shared.Any(p => (p.First == c && p.Second == s.Competition) || (p.Second == c && p.First == s.Competition)));
            }
        }
    }
}
