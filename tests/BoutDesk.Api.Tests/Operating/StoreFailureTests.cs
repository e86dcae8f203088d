using BoutDesk.Api.Http;
using JasperFx;
using Marten.Exceptions;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Operating;

/// <summary>What is told to who asks when the store fails: to send it again, or that the service made a mistake.</summary>
public class StoreFailureTests
{
    /// <summary>States of PostgreSQL's appendix "Error Codes".</summary>
    [Theory]
    [InlineData("08006", true)] // connection failure
    [InlineData("25006", true)] // read-only transaction
    [InlineData("25P03", true)] // open transaction ended for being idle
    [InlineData("40P01", true)] // deadlock
    [InlineData("53100", true)] // disk full
    [InlineData("53300", true)] // too many connections
    [InlineData("55P03", true)] // lock not available
    [InlineData("57014", true)] // statement cancelled
    [InlineData("57P01", true)] // shut down
    [InlineData("57P03", true)] // starting up
    [InlineData("58030", true)] // input or output failed
    [InlineData("XX000", true)] // internal error
    [InlineData("22P05", false)] // a character that cannot be kept
    [InlineData("23505", false)] // not unique
    [InlineData("42P01", false)] // no such table
    public void What_passes_is_to_be_sent_again_and_what_does_not_is_a_mistake(string state, bool passes)
    {
        var failure = new PostgresException("told by a test", "ERROR", "ERROR", state);
        foreach (var error in new Exception[] { failure, new MartenCommandException(null, failure), new AggregateException(failure), new ObjectDisposedException("NpgsqlTransaction", failure) }[..(passes ? 4 : 3)])
        {
            Assert.Equal(passes ? ProblemKinds.StoreUnavailable : ProblemKinds.Internal, ProblemMapping.Of(error).Kind);
            Assert.Equal(!passes, ProblemMapping.IsRefusedByStore(error));
        }
    }

    [Fact]
    public async Task A_transaction_that_broke_before_it_could_be_rolled_back_is_to_be_sent_again()
    {
        await using var connection = new NpgsqlConnection("Host=localhost");
        var closed = Assert.Throws<InvalidOperationException>(() => connection.BeginTransaction());
        Assert.Equal(ProblemKinds.StoreUnavailable, ProblemMapping.Of(closed).Kind);
        Assert.Equal(ProblemKinds.Internal, ProblemMapping.Of(new InvalidOperationException("A mistake.")).Kind);
    }

    [Fact]
    public void Several_that_were_overtaken_in_one_transaction_are_a_race_and_with_another_failure_they_are_not()
    {
        var overtaken = new ConcurrencyException("told by a test", null!, "one");
        Assert.True(Commands.IsRace(new AggregateException(overtaken, overtaken)));
        Assert.False(Commands.IsRace(new AggregateException(overtaken, new InvalidOperationException())));
    }
}
