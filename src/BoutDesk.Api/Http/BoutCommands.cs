using System.Collections.Concurrent;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using JasperFx.Events;
using Marten;

namespace BoutDesk.Api.Http;

/// <summary>A command on a bout that waits to be carried out.</summary>
/// <param name="BoutId">The bout. No other command on it waits or is carried out meanwhile.</param>
/// <param name="CompetitionId">Its competition.</param>
/// <param name="By">The pass it came with.</param>
/// <param name="Key">Its Idempotency-Key, or null.</param>
/// <param name="Tournament">The tournament.</param>
/// <param name="Decide">Decides it.</param>
/// <param name="GivenUp">The client has hung up.</param>
internal sealed record BoutCommand(
    string BoutId, string CompetitionId, string By, RepeatKey? Key, string Tournament, Func<Ledger, Task<Outcome>> Decide, CancellationToken GivenUp);

/// <summary>
/// Carries commands on bouts out together: those that come while others are being kept wait, and are then read in one
/// go and kept in one transaction, since what takes time is the way to the store and the disk. Each is decided and
/// answered by itself, and is acknowledged after the commit only. Each organiser has its own.
/// </summary>
internal sealed class BoutCommands
{
    private const int MostTogether = 64;

    private readonly ConcurrentQueue<Waiting> queue = new();
    private readonly Organiser organiser;
    private readonly CommandGate gate;
    private readonly CompetitionShelf competitions;
    private readonly BoutMemory memory;
    private readonly FeedHub hub;
    private readonly TimeProvider clock;
    private int busy;

    public BoutCommands(
        [FromKeyedServices] Organiser organiser, CommandGate gate, CompetitionShelf competitions, BoutMemory memory, FeedHub hub, TimeProvider clock)
    {
        this.organiser = organiser;
        this.gate = gate;
        this.competitions = competitions;
        this.memory = memory;
        this.hub = hub;
        this.clock = clock;
    }

    /// <summary>
    /// What is answered, or null when nothing was done and the command is to be carried out alone: it needs more than its
    /// bout, or the transaction failed on account of one command.
    /// </summary>
    public async Task<IResult?> TryAsync(BoutCommand command)
    {
        var waiting = new Waiting(command);
        queue.Enqueue(waiting);
        if (Interlocked.CompareExchange(ref busy, 1, 0) == 0)
        {
            await CarryOutAsync(Next());
            if (!IsDone())
            {
                // The answer to this one must not wait for the next.
                _ = Task.Run(CarryOutAllAsync, CancellationToken.None);
            }
        }

        return await waiting.Answer.Task;
    }

    private async Task CarryOutAllAsync()
    {
        do
        {
            await CarryOutAsync(Next());
        }
        while (!IsDone());
    }

    /// <summary>Whether none is left; then whoever comes next carries out.</summary>
    private bool IsDone()
    {
        // Not a plain write: the queue must not be looked at before others can see that nobody is busy.
        Interlocked.Exchange(ref busy, 0);
        return queue.IsEmpty || Interlocked.CompareExchange(ref busy, 1, 0) != 0;
    }

    private List<Waiting> Next()
    {
        var next = new List<Waiting>();
        while (next.Count < MostTogether && queue.TryDequeue(out var waiting))
        {
            next.Add(waiting);
        }

        return next;
    }

    private async Task CarryOutAsync(List<Waiting> commands)
    {
        if (commands.Count == 0)
        {
            return;
        }

        try
        {
            await using var session = organiser.Write();
            await gate.PassAsync(session, CancellationToken.None);
            var toAnswer = new List<(Waiting Command, IResult Answer)>();
            foreach (var read in await ReadAsync(session, commands))
            {
                if (read.Kept is not null)
                {
                    toAnswer.Add((read.Command, Commands.Repeat(read.Command.Command.Key!, read.Kept)));
                }
                else if (await DecideAsync(session, read) is { } answer)
                {
                    toAnswer.Add((read.Command, new Commands.Given(answer)));
                }
            }

            if (toAnswer.Count > 0)
            {
                // Once they are being saved a client's hanging up no longer matters.
                await gate.SaveAsync(session);
            }

            foreach (var (command, answer) in toAnswer)
            {
                memory.Keep(session, command.Command.BoutId, command.Command.Key?.Id);
                command.Answer.SetResult(answer);
            }
        }
        catch (Exception ofOne) when (Commands.IsRace(ofOne) || ProblemMapping.IsRefusedByStore(ofOne))
        {
            // Nothing was kept of any; alone each learns what becomes of it.
            foreach (var command in commands)
            {
                CarryOutAlone(command);
            }
        }
        catch (Exception failure)
        {
            foreach (var command in commands)
            {
                memory.Forget(organiser.Id, command.Command.BoutId);
                command.Answer.TrySetException(failure);
            }
        }
    }

    /// <summary>Has a command carried out by itself, on its bout as it is then.</summary>
    private void CarryOutAlone(Waiting waiting)
    {
        memory.Forget(organiser.Id, waiting.Command.BoutId);
        waiting.Answer.TrySetResult(null);
    }

    private async Task<IReadOnlyList<Read>> ReadAsync(IDocumentSession session, List<Waiting> commands)
    {
        var read = new List<Read>();
        var toRead = new List<Waiting>();
        foreach (var waiting in commands)
        {
            if (memory.Find(organiser.Id, waiting.Command.BoutId, waiting.Command.Key?.Id) is { } bout)
            {
                BoutMemory.Hand(session, bout);
                read.Add(new Read(waiting, bout));
            }
            else
            {
                toRead.Add(waiting);
            }
        }

        if (toRead.Count == 0)
        {
            return read;
        }

        var batch = session.CreateBatchQuery();
        var drawnIn = competitions.Keeps
            ? []
            : toRead.Select(c => c.Command.CompetitionId).Distinct().ToDictionary(id => id, id => batch.Load<Competition>(id));
        var reading = toRead.ConvertAll(c => (
            Command: c,
            Kept: c.Command.Key is { } key ? batch.Load<KeptAnswer>(key.Id) : Task.FromResult<KeptAnswer?>(null),
            Bout: batch.Events.FetchForWriting<Bout>(c.Command.BoutId)));
        await batch.Execute();
        foreach (var (command, kept, bout) in reading)
        {
            var competition = drawnIn.GetValueOrDefault(command.Command.CompetitionId);
            read.Add(new Read(command, null) { Kept = await kept, Stream = await bout, Competition = competition is null ? null : await competition });
        }

        return read;
    }

    /// <summary>The answer of a command that is to be kept; the others are answered here.</summary>
    private async Task<Answer?> DecideAsync(IDocumentSession session, Read read)
    {
        var waiting = read.Command;
        var command = waiting.Command;
        try
        {
            command.GivenUp.ThrowIfCancellationRequested();
            var ledger = read.Remembered is { } bout
                ? new Ledger(session, competitions, command.By, bout)
                : new Ledger(session, competitions, read.Competition, command.By, command.BoutId, read.Stream!);
            var outcome = await waiting.DecideAsync(ledger);
            if (read.Remembered is not null && (outcome.Answer is null || !ledger.HasFactsOf(command.BoutId)))
            {
                // Only what is kept shows that the bout was as remembered and the key is a new one.
                CarryOutAlone(waiting);
                return null;
            }

            if (outcome.Answer is not { } answer)
            {
                waiting.Answer.SetResult(outcome.Problem);
                return null;
            }

            // Before the facts: whatever fails until here has left nothing behind that the others would save.
            var kept = command.Key?.Keep(answer, command.Tournament, clock.GetUtcNow(), hub.Position);
            ledger.Append();
            if (kept is not null)
            {
                session.Insert(kept);
            }

            return answer;
        }
        catch (MoreThanABoutException)
        {
            CarryOutAlone(waiting);
            return null;
        }
        catch (OperationCanceledException) when (command.GivenUp.IsCancellationRequested)
        {
            waiting.Answer.SetCanceled(command.GivenUp);
            return null;
        }
        catch (Exception failure)
        {
            // It is that of one; if it is the store's, saving fails for the others too.
            waiting.Answer.SetException(failure);
            return null;
        }
    }

    /// <summary>What there is for a command: its bout as remembered, or else what was read.</summary>
    private sealed record Read(Waiting Command, Bout? Remembered)
    {
        public KeptAnswer? Kept { get; init; }

        public IEventStream<Bout>? Stream { get; init; }

        /// <summary>Its competition, only where that is not kept.</summary>
        public Competition? Competition { get; init; }
    }

    private sealed class Waiting(BoutCommand command)
    {
        // Language and trace are those of its request, whoever carries it out.
        private readonly ExecutionContext context = ExecutionContext.Capture()!;

        public BoutCommand Command => command;

        public TaskCompletionSource<IResult?> Answer { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

        public Task<Outcome> DecideAsync(Ledger ledger)
        {
            Task<Outcome>? deciding = null;
            ExecutionContext.Run(context, _ => deciding = DecideAndWriteAsync(ledger), null);
            return deciding!;
        }

        private async Task<Outcome> DecideAndWriteAsync(Ledger ledger)
        {
            var outcome = await command.Decide(ledger);
            _ = outcome.Answer?.Json;
            return outcome;
        }
    }
}
