using System.Diagnostics;

namespace BoutDesk.Faults;

/// <summary>When actions of phones were acknowledged; what was answered else.</summary>
internal sealed class Acknowledgements
{
    private readonly Lock gate = new();
    private readonly List<long> times = [];
    private readonly SortedDictionary<string, int> otherAnswers = [];
    private int repeats;

    /// <summary>Sendings beyond the first of each action.</summary>
    public int Repeats => repeats;

    /// <summary>Answers that were no acknowledgement, with their number.</summary>
    public IReadOnlyDictionary<string, int> OtherAnswers
    {
        get
        {
            lock (gate)
            {
                return new SortedDictionary<string, int>(otherAnswers);
            }
        }
    }

    /// <summary>Notes an acknowledgement, to an action that was sent for the last time at the given time stamp.</summary>
    public void Note(long sent)
    {
        lock (gate)
        {
            times.Add(Stopwatch.GetTimestamp());
            LastSent = Math.Max(LastSent, sent);
        }
    }

    /// <summary>The time stamp of the last sending that was acknowledged.</summary>
    public long LastSent { get; private set; }

    public void NoteRepeat() => Interlocked.Increment(ref repeats);

    public void NoteOther(string answer)
    {
        lock (gate)
        {
            otherAnswers[answer] = otherAnswers.GetValueOrDefault(answer) + 1;
        }
    }

    /// <summary>The longest time without an acknowledgement between two time stamps.</summary>
    public TimeSpan LongestSilence(long from, long to)
    {
        lock (gate)
        {
            var longest = TimeSpan.Zero;
            var before = from;
            foreach (var time in times.Where(t => t > from && t < to).Append(to))
            {
                var silence = Stopwatch.GetElapsedTime(before, time);
                longest = silence > longest ? silence : longest;
                before = time;
            }

            return longest;
        }
    }
}
