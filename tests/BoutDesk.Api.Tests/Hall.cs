using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.Contract;
using Xunit;

namespace BoutDesk.Api.Tests;

/// <summary>
/// A service with a tournament in full swing, for tests that walk over all operations: one competition fences its
/// pools, another its tableau, and every kind of pass is out.
/// </summary>
public sealed class Hall : IAsyncLifetime
{
    /// <summary>A reason and a year of birth that only the desk may see.</summary>
    public const string PrivateReason = "A torn ligament, which is private.";

    public const int PrivateYear = 1987;

    /// <summary>A mark of the armourer and an hour of a referee, which the public need not know.</summary>
    public const string PrivateMark = "mark-4711-private";

    public const string PrivateHour = "16:43";

    internal DeskHost Host { get; private set; } = null!;

    internal ApiDocument Document { get; private set; } = null!;

    internal string TournamentId { get; private set; } = null!;

    /// <summary>Fences its pools.</summary>
    internal string CompetitionId { get; private set; } = null!;

    /// <summary>Fences its tableau.</summary>
    internal string TableauCompetitionId { get; private set; } = null!;

    internal string StripId { get; private set; } = null!;

    internal string PoolId { get; private set; } = null!;

    internal string OtherPoolId { get; private set; } = null!;

    internal string BoutId { get; private set; } = null!;

    internal string EntrantId { get; private set; } = null!;

    /// <summary>The passes by what they are.</summary>
    internal Dictionary<string, string> Passes { get; } = [];

    internal string RevokedPassId { get; private set; } = null!;

    internal HttpClient Desk { get; private set; } = null!;

    public async Task InitializeAsync()
    {
        var host = await DeskHost.StartAsync(("BoutDesk:WrongPassesPerMinute", "0"), ("BoutDesk:RequestsPerSecond", "0"), ("BoutDesk:WritesPerSecond", "0"));
        await OpenAsync(host, host.Desk, DeskHost.DeskPass);
    }

    /// <summary>Sets the tournament up at a service that runs already.</summary>
    internal async Task OpenAsync(DeskHost host, HttpClient desk, string deskPass)
    {
        (Host, Desk) = (host, desk);
        Document = await ApiDocument.ReadAsync(Host.Public);
        TournamentId = await Desk.TournamentAsync();
        StripId = (await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{TournamentId}/strips", new { name = "Strip 1" }, HttpStatusCode.Created)).Id();

        CompetitionId = await Desk.CompetitionAsync(9, tournamentId: TournamentId, checkIn: false);
        var left = await Desk.SendAsync(
            HttpMethod.Post, $"/api/competitions/{CompetitionId}/entrants", new { familyName = "Leaver", birthYear = PrivateYear, hand = "left" }, HttpStatusCode.Created);
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{left.Id()}/withdraw", new { reason = PrivateReason }, HttpStatusCode.OK);
        var pools = (await Desk.DrawPoolsAsync(CompetitionId, new { poolCount = 2, drawSeed = 1 }))["pools"]!.AsArray();
        (PoolId, OtherPoolId) = (pools[0].Id(), pools[1].Id());
        var bouts = (await Desk.GetAsync<JsonObject>($"/api/pools/{PoolId}"))["bouts"]!.AsArray();
        BoutId = bouts[0].Id();
        EntrantId = left.Id();

        TableauCompetitionId = await Desk.CompetitionAsync(4, tournamentId: TournamentId, checkIn: false, formula: new { pools = new { rounds = 0 } });
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{TableauCompetitionId}/tableau", null, HttpStatusCode.Created);

        await Desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{TournamentId}/plan", new { opensAt = "09:00", closesAt = "18:00", strips = 2, steps = 0 }, HttpStatusCode.OK);

        await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{TournamentId}/loan-kit", new { item = "mask", label = "M1", count = 3 }, HttpStatusCode.Created);
        await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{TournamentId}-k1/issue", new { entrantId = EntrantId }, HttpStatusCode.OK);

        await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{TournamentId}/referees", new { familyName = "Lind", weapons = new[] { "epee", "foil" }, from = "09:00" }, HttpStatusCode.Created);
        await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{TournamentId}/referees", new { familyName = "Otero", weapons = new[] { "sabre" } }, HttpStatusCode.Created);

        var elsewhere = await Desk.TournamentAsync();
        Passes["desk"] = deskPass;
        Passes["desk of the tournament"] = await GiveAsync(TournamentId, new { kind = "desk" });
        Passes["desk of another tournament"] = await GiveAsync(elsewhere, new { kind = "desk" });
        Passes["armourer"] = await GiveAsync(TournamentId, new { kind = "armourer" });
        Passes["armourer of another tournament"] = await GiveAsync(elsewhere, new { kind = "armourer" });
        Passes["referee of the pool"] = await GiveAsync(TournamentId, new { kind = "referee", pools = new[] { PoolId } });
        Passes["referee of another pool"] = await GiveAsync(TournamentId, new { kind = "referee", pools = new[] { OtherPoolId } });
        Passes["unknown"] = "aPassThatNobodyGaveOut0123456789";
        Passes["expired"] = await GiveAsync(TournamentId, new { kind = "desk", expiresAt = DateTimeOffset.UtcNow.AddSeconds(1) });
        Passes["revoked"] = await GiveAsync(TournamentId, new { kind = "desk" });
        RevokedPassId = (await Desk.ListAsync($"/api/tournaments/{TournamentId}/passes"))[^1].Id();
        await Desk.SendAsync(HttpMethod.Delete, $"/api/tournaments/{TournamentId}/passes/{RevokedPassId}", null, HttpStatusCode.NoContent);
    }

    public async Task DisposeAsync() => await Host.DisposeAsync();

    /// <summary>The address of an operation on what is there.</summary>
    internal string At(Operation operation) => operation.At(name => name switch
    {
        "tournamentId" => TournamentId,
        "competitionId" => operation.Path.Contains("/tableau", StringComparison.Ordinal) || operation.Path.EndsWith("classification", StringComparison.Ordinal) || operation.Path.EndsWith("calling-order", StringComparison.Ordinal) ? TableauCompetitionId : CompetitionId,
        "poolId" => PoolId,
        "boutId" => BoutId,
        "entrantId" => EntrantId,
        "passId" => RevokedPassId,
        "refereeId" => TournamentId + "-r1",
        "itemId" => TournamentId + "-k1",
        "announcementId" => TournamentId + "-n1",
        "stripId" => StripId,
        "round" => "1",
        _ => throw new InvalidOperationException($"No test knows the parameter {name} of {operation}."),
    });

    internal async Task<string> GiveAsync(string tournamentId, object body) =>
        (await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournamentId}/passes", body, HttpStatusCode.Created))["pass"]!.GetValue<string>();
}

/// <summary>Names the collection of tests that walk over all operations.</summary>
[CollectionDefinition(Name)]
public sealed class WholeSurface : ICollectionFixture<Hall>
{
    public const string Name = "Whole surface";
}
