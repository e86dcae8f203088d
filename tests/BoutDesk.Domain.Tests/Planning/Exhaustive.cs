using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Domain.Tests.Planning;

/// <summary>Looks at every order of stages and every choice of widths of a small day without closures. Slow and plain.</summary>
internal static class Exhaustive
{
    public static int EarliestEnd(DayToPlan day)
    {
        var best = int.MaxValue;
        var known = new Dictionary<(int, int, int, int), bool>();
        Next(new int[day.Competitions.Length], []);
        return best;

        void Next(int[] placed, List<(int Competition, int From, int To, int Strips)> stages)
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
                    var from = ready;
                    while (!Fits(c, from, from + width.Minutes, width.Strips))
                    {
                        from += StageToPlan.Grid;
                    }

                    placed[c]++;
                    stages.Add((c, from, from + width.Minutes, width.Strips));
                    Next(placed, stages);
                    stages.RemoveAt(stages.Count - 1);
                    placed[c]--;
                }
            }

            bool Refereed(int at, (int Competition, int From, int To, int Strips)[] inUse)
            {
                int Of(Weapon weapon) => inUse.Where(s => day.Competitions[s.Competition].Weapon == weapon).Sum(s => s.Strips);

                var question = (at, Of(Weapon.Foil), Of(Weapon.Epee), Of(Weapon.Sabre));
                if (!known.TryGetValue(question, out var answer))
                {
                    answer = DayPlannerTests.AllRefereed(day, at, inUse.SelectMany(s => Enumerable.Repeat(day.Competitions[s.Competition].Weapon, s.Strips)));
                    known.Add(question, answer);
                }

                return answer;
            }

            bool Fits(int c, int from, int to, int strips)
            {
                for (var at = from; at < to; at += StageToPlan.Grid)
                {
                    var inUse = stages.Where(s => s.From <= at && at < s.To).Append((Competition: c, From: from, To: to, Strips: strips)).ToArray();
                    if (inUse.Sum(s => s.Strips) > day.Capacity
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
